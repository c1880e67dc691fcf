package policies_test

import (
	"encoding/json"
	"math"
	"math/big"
	"testing"
)

// pinned returns the value of a limit whose two ends are one number.
func (r *release) pinned(t *testing.T, area, name string) decimal {
	t.Helper()
	row, ok := r.data["limits"].(map[string]any)[area].(map[string]any)[name].(map[string]any)
	if !ok {
		t.Fatalf("no limit %s.%s", area, name)
	}
	value, ok := row["min"].(json.Number)
	if hi, also := row["max"]; !ok || also && hi != any(value) {
		t.Fatalf("limit %s.%s is not one number: %v to %v", area, name, row["min"], row["max"])
	}
	return decimal(value)
}

type voltageFile struct {
	Relation []struct {
		Constant  decimal `yaml:"constant"`
		RestHours decimal `yaml:"rest_hours"`
		Status    string  `yaml:"status"`
	} `yaml:"relation"`
	Tolerance float64 `yaml:"tolerance"`
	Examples  []struct {
		Gravity  decimal `yaml:"gravity"`
		Constant decimal `yaml:"constant"`
		Volts    decimal `yaml:"volts"`
	} `yaml:"examples"`
	Bode struct {
		Negative  []float64 `yaml:"negative"`
		Positive  []float64 `yaml:"positive"`
		MolarMass struct {
			Value float64 `yaml:"value"`
		} `yaml:"molar_mass"`
		Evaluated struct {
			Within float64 `yaml:"within"`
			Rows   []struct {
				Wt       float64 `yaml:"wt"`
				Molality float64 `yaml:"molality"`
				Density  float64 `yaml:"density"`
				Gravity  float64 `yaml:"gravity"`
				Volts    float64 `yaml:"volts"`
			} `yaml:"rows"`
		} `yaml:"evaluated"`
	} `yaml:"bode"`
}

// molality is moles of acid a kilogram of water at wt mass per cent.
func (v *voltageFile) molality(wt float64) float64 {
	return wt / (100 - wt) * 1000 / v.Bode.MolarMass.Value
}

// openCircuit is the rested voltage of a cell at 25 °C by its electrodes.
func (v *voltageFile) openCircuit(molality float64) float64 {
	l := math.Log10(molality)
	polynomial := func(c []float64) float64 {
		sum := 0.0
		for i := len(c) - 1; i >= 0; i-- {
			sum = sum*l + c[i]
		}
		return sum
	}
	return polynomial(v.Bode.Positive) - polynomial(v.Bode.Negative)
}

// TestVoltageModels checks the electrochemical relation itself: the molality
// against the handbook's and the voltages against a run by another program.
func TestVoltageModels(t *testing.T) {
	var v voltageFile
	published(t, "voltage-gravity.yaml", &v)
	f := acid(t)
	for _, row := range f.CRC.Rows {
		if got := v.molality(row.Wt); math.Abs(got-row.Molality) > 0.0006 {
			t.Errorf("%v %%: %.4f mol/kg, handbook %.3f", row.Wt, got, row.Molality)
		}
	}
	for _, row := range v.Bode.Evaluated.Rows {
		if got := v.openCircuit(v.molality(row.Wt)); math.Abs(got-row.Volts) > v.Bode.Evaluated.Within {
			t.Errorf("%v %%: %.5f V, want %.4f", row.Wt, got, row.Volts)
		}
		if row.Wt >= 20 {
			if got := f.linear(row.Wt, 25) / f.water(25) * 1000; math.Abs(got-row.Gravity) > 0.00015 {
				t.Errorf("%v %%: gravity %.5f, want %.4f", row.Wt, got, row.Gravity)
			}
		}
	}
}

// TestVoltageRelation holds the release's relation, volts a cell = gravity + a
// constant, to the published constant and to the electrode potentials of acid as
// strong as a charged and a half-charged traction cell has it.
func TestVoltageRelation(t *testing.T) {
	r := helpers(t)
	var v voltageFile
	published(t, "voltage-gravity.yaml", &v)
	f := acid(t)
	own := r.pinned(t, "battery", "cell_voltage_offset")
	matched := false
	for _, relation := range v.Relation {
		if relation.Status != "seen" {
			continue
		}
		matched = true
		if own.rat().Cmp(relation.Constant.rat()) != 0 {
			t.Errorf("the release adds %s V, published %s", own, relation.Constant)
		}
		if rest := r.pinned(t, "battery", "rest_for_voltage"); rest.rat().Cmp(relation.RestHours.rat()) != 0 {
			t.Errorf("the release rests a cell %s h, published %s", rest, relation.RestHours)
		}
	}
	if !matched {
		t.Error("no published relation")
	}
	for _, e := range v.Examples {
		// Another constant is another definition; both lie within the tolerance.
		got := new(big.Rat).Add(e.Gravity.rat(), own.rat())
		off := new(big.Rat).Sub(got, e.Volts.rat())
		if d, _ := off.Float64(); math.Abs(d) > v.Tolerance || (e.Constant == own) != (off.Sign() == 0) {
			t.Errorf("gravity %s: %s V, published %s V with %s", e.Gravity, got.FloatString(3), e.Volts, e.Constant)
		}
	}
	worst, at := 0.0, 0.0
	for wt := 30.0; wt <= 40; wt += 0.5 {
		gravity := f.linear(wt, 25) / f.water(25) * 1000
		if off := math.Abs(gravity + own.float() - v.openCircuit(v.molality(wt))); off > worst {
			worst, at = off, gravity
		}
	}
	t.Logf("gravity + %s: at most %.4f V off the electrode potentials of 30 to 40 %% acid, at a gravity of %.4f", own, worst, at)
	if !(worst <= v.Tolerance) {
		t.Errorf("%.4f V off the electrode potentials, more than %v", worst, v.Tolerance)
	}
}

type hydrogenFile struct {
	Constants struct {
		Faraday    float64 `yaml:"faraday"`
		Gas        float64 `yaml:"gas"`
		Pressure   float64 `yaml:"pressure"`
		WaterMolar float64 `yaml:"water_molar_mass"`
	} `yaml:"constants"`
	PerAmpereHour []struct {
		Of          string  `yaml:"of"`
		Temperature float64 `yaml:"temperature"`
		Faraday     float64 `yaml:"faraday"`
		Within      float64 `yaml:"within"`
		Published   float64 `yaml:"published"`
		Relative    float64 `yaml:"relative"`
	} `yaml:"per_ampere_hour"`
	Ventilation []struct {
		ID       string  `yaml:"id"`
		Constant decimal `yaml:"constant"`
		Status   string  `yaml:"status"`
	} `yaml:"ventilation"`
	Dilution struct {
		Limit  float64 `yaml:"limit"`
		Factor float64 `yaml:"factor"`
		Safety float64 `yaml:"safety"`
	} `yaml:"dilution"`
	Derived []struct {
		Hydrogen decimal `yaml:"hydrogen"`
		Result   decimal `yaml:"result"`
	} `yaml:"derived"`
	Examples []struct {
		Formula string  `yaml:"formula"`
		Cells   int64   `yaml:"cells"`
		Current decimal `yaml:"current"`
		Flow    decimal `yaml:"flow"`
	} `yaml:"examples"`
}

// litres is the hydrogen that one ampere gives off in one cell in an hour.
func (h *hydrogenFile) litres(celsius float64) float64 {
	c := h.Constants
	return 3600 / (2 * c.Faraday) * c.Gas * (celsius + kelvin) / c.Pressure * 1000
}

// TestHydrogenFaraday checks what Faraday's law gives against values in print.
func TestHydrogenFaraday(t *testing.T) {
	var h hydrogenFile
	published(t, "hydrogen.yaml", &h)
	// The Faraday constant is exact: the elementary charge times Avogadro's number.
	if exact := 1.602176634e-19 * 6.02214076e23; math.Abs(h.Constants.Faraday/exact-1) > 1e-9 {
		t.Errorf("Faraday constant %v, not %v", h.Constants.Faraday, exact)
	}
	if exact := 1.380649e-23 * 6.02214076e23; math.Abs(h.Constants.Gas/exact-1) > 1e-9 {
		t.Errorf("gas constant %v, not %v", h.Constants.Gas, exact)
	}
	for _, row := range h.PerAmpereHour {
		var got float64
		switch row.Of {
		case "hydrogen":
			got = h.litres(row.Temperature)
		case "oxygen":
			got = h.litres(row.Temperature) / 2
		case "water":
			got = 3600 / (2 * h.Constants.Faraday) * h.Constants.WaterMolar
		default:
			t.Fatalf("nothing computes %q", row.Of)
		}
		if row.Faraday != 0 && math.Abs(got-row.Faraday) > row.Within {
			t.Errorf("%s at %v °C: %.6f, want %v", row.Of, row.Temperature, got, row.Faraday)
		}
		if row.Published != 0 && math.Abs(got/row.Published-1) > row.Relative {
			t.Errorf("%s at %v °C: %.6f, published %v", row.Of, row.Temperature, got, row.Published)
		}
	}
}

// TestVentilation holds the release's constant to the published formula, and the
// formula to Faraday's law with the published dilution and the safety factor.
func TestVentilation(t *testing.T) {
	r := helpers(t)
	var h hydrogenFile
	published(t, "hydrogen.yaml", &h)
	own := r.pinned(t, "safety", "ventilation_per_cell_ampere")
	constants := map[string]*big.Rat{}
	for _, f := range h.Ventilation {
		constants[f.ID] = f.Constant.rat()
		if f.Status == "seen" && own.rat().Cmp(f.Constant.rat()) != 0 {
			t.Errorf("the release has %s m3/h a cell and ampere, published %s", own, f.Constant)
		}
	}
	for _, e := range h.Examples {
		flow := new(big.Rat).Mul(constants[e.Formula], e.Current.rat())
		if flow.Mul(flow, big.NewRat(e.Cells, 1)).Cmp(e.Flow.rat()) != 0 {
			t.Errorf("%d cells at %s A: %s m3/h, want %s", e.Cells, e.Current, flow.FloatString(4), e.Flow)
		}
	}
	d := h.Dilution
	if factor := (1 - d.Limit) / d.Limit; math.Abs(factor-d.Factor) > 1e-12 {
		t.Errorf("dilution to %v: %v, published %v", d.Limit, factor, d.Factor)
	}
	for _, row := range h.Derived {
		if got := new(big.Rat).Mul(row.Hydrogen.rat(), big.NewRat(int64(d.Factor*d.Safety), 1)); got.Cmp(row.Result.rat()) != 0 {
			t.Errorf("%s m3/Ah diluted: %s, want %s", row.Hydrogen, got.FloatString(5), row.Result)
		}
	}
	derived := h.litres(25) / 1000 * d.Factor * d.Safety
	t.Logf("the release: %s m3/h a cell and ampere; Faraday at 25 °C, diluted %v times with safety %v: %.5f", own, d.Factor, d.Safety, derived)
	if own.float() < derived || own.float() > derived*1.01 {
		t.Errorf("%s m3/h a cell and ampere does not cover %.5f by at most a hundredth", own, derived)
	}
}
