package policies_test

import (
	"math"
	"testing"
)

// kelvin is 0 °C in K.
const kelvin = 273.15

// celsius converts degrees Fahrenheit.
func celsius(f float64) float64 { return (f - 32) / 1.8 }

type solute struct {
	C0, C1, C2, C3, C4 float64
}

type densityFile struct {
	Carma struct {
		Rows []struct {
			Wt float64 `yaml:"wt"`
			C0 float64 `yaml:"c0"`
			C1 float64 `yaml:"c1"`
		} `yaml:"rows"`
		Evaluated evaluated `yaml:"evaluated"`
	} `yaml:"carma"`
	Laliberte struct {
		Water struct {
			A0, A1, A2, A3, A4, A5, B float64
		} `yaml:"water"`
		Acid   solute `yaml:"sulphuric_acid"`
		Salt   solute `yaml:"sodium_chloride"`
		Checks []struct {
			Of           string  `yaml:"of"`
			Temperature  float64 `yaml:"temperature"`
			MassFraction float64 `yaml:"mass_fraction"`
			Result       float64 `yaml:"result"`
		} `yaml:"checks"`
		Evaluated evaluated `yaml:"evaluated"`
	} `yaml:"laliberte"`
	CRC struct {
		Rows []crcRow `yaml:"rows"`
	} `yaml:"crc"`
	Perry struct {
		Temperature float64 `yaml:"temperature"`
		Rows        []struct {
			Wt      float64 `yaml:"wt"`
			Density float64 `yaml:"density"`
		} `yaml:"rows"`
	} `yaml:"perry"`
	Freezing struct {
		Rows   []freezingPoint `yaml:"rows"`
		Second struct {
			Rows []freezingPoint `yaml:"rows"`
		} `yaml:"second"`
	} `yaml:"freezing"`
}

// A freezingPoint is a row of a table in degrees Fahrenheit.
type freezingPoint struct {
	Gravity   decimal `yaml:"gravity"`
	FreezesAt decimal `yaml:"freezes_at"`
}

type crcRow struct {
	Wt       float64 `yaml:"wt"`
	Molality float64 `yaml:"molality"`
	Density  float64 `yaml:"density"`
	Freezes  float64 `yaml:"freezes_below_zero_by"`
}

type evaluated struct {
	Within       float64   `yaml:"within"`
	Temperatures []float64 `yaml:"temperatures"`
	Rows         []struct {
		Wt      float64   `yaml:"wt"`
		Density []float64 `yaml:"density"`
	} `yaml:"rows"`
}

// acid reads the density data.
func acid(t *testing.T) *densityFile {
	t.Helper()
	var file densityFile
	published(t, "acid-density.yaml", &file)
	return &file
}

// linear is the density in g/cm3 by the table that is linear in temperature and,
// between its rows, in mass per cent.
func (f *densityFile) linear(wt, t float64) float64 {
	rows := f.Carma.Rows
	for i := 1; i < len(rows); i++ {
		if wt > rows[i].Wt {
			continue
		}
		at := func(k int) float64 { return rows[k].C0 + rows[k].C1*(t+kelvin) }
		share := (rows[i].Wt - wt) / (rows[i].Wt - rows[i-1].Wt)
		return at(i-1)*share + at(i)*(1-share)
	}
	return math.NaN()
}

// water is the density of water in kg/m3.
func (f *densityFile) water(t float64) float64 {
	w := f.Laliberte.Water
	return (((((w.A5*t+w.A4)*t+w.A3)*t+w.A2)*t+w.A1)*t + w.A0) / (1 + w.B*t)
}

// apparent is the density in kg/m3 that a solute has in solution.
func (s solute) apparent(w, t float64) float64 {
	return (s.C0*w + s.C1) * math.Exp(1e-6*(t+s.C4)*(t+s.C4)) / (w + s.C2 + s.C3*t)
}

// solution is the density in kg/m3 of a solution of mass fraction w.
func (f *densityFile) solution(s solute, w, t float64) float64 {
	return 1 / ((1-w)/f.water(t) + w/s.apparent(w, t))
}

// fitted is the density in g/cm3 by the fitted model.
func (f *densityFile) fitted(wt, t float64) float64 {
	return f.solution(f.Laliberte.Acid, wt/100, t) / 1000
}

// freezing is the freezing point in °C by the handbook's depressions, linear in
// the density at 20 °C between its rows.
func (f *densityFile) freezing(density float64) (float64, bool) {
	for i := 1; i < len(f.CRC.Rows); i++ {
		a, b := f.CRC.Rows[i-1], f.CRC.Rows[i]
		if a.Density <= density && density <= b.Density && b.Freezes != 0 {
			return -(a.Freezes + (b.Freezes-a.Freezes)*(density-a.Density)/(b.Density-a.Density)), true
		}
	}
	return 0, false
}

// models are the two densities of sulphuric acid, which share no data with each
// other but the measurements behind them.
func (f *densityFile) models() map[string]func(wt, t float64) float64 {
	return map[string]func(wt, t float64) float64{"linear table": f.linear, "fitted model": f.fitted}
}

// TestDensityModels checks the models themselves, before anything is compared
// with them: against results in print and against a run by another program.
func TestDensityModels(t *testing.T) {
	f := acid(t)
	for _, c := range f.Laliberte.Checks {
		var got float64
		switch c.Of {
		case "water":
			got = f.water(c.Temperature)
		case "sodium chloride in solution":
			got = f.Laliberte.Salt.apparent(c.MassFraction, c.Temperature)
		case "solution of sodium chloride":
			got = f.solution(f.Laliberte.Salt, c.MassFraction, c.Temperature)
		default:
			t.Fatalf("nothing computes %q", c.Of)
		}
		if math.Abs(got/c.Result-1) > 1e-12 {
			t.Errorf("%s at %v °C, %v: %.13g, printed %.13g", c.Of, c.Temperature, c.MassFraction, got, c.Result)
		}
	}
	for name, e := range map[string]evaluated{"linear table": f.Carma.Evaluated, "fitted model": f.Laliberte.Evaluated} {
		for _, row := range e.Rows {
			for i, temperature := range e.Temperatures {
				if got := f.models()[name](row.Wt, temperature); math.Abs(got-row.Density[i]) > e.Within {
					t.Errorf("%s: %v %% at %v °C: %.5f, want %.4f", name, row.Wt, temperature, got, row.Density[i])
				}
			}
		}
	}
}

// TestDensityHandbook holds both models to the handbook at 20 °C. The bounds are
// what was measured, rounded up.
func TestDensityHandbook(t *testing.T) {
	f := acid(t)
	bounds := map[string]float64{"linear table": 0.0009, "fitted model": 0.0019}
	for name, density := range f.models() {
		worst := 0.0
		for _, row := range f.CRC.Rows {
			if row.Wt < 20 {
				continue
			}
			worst = max(worst, math.Abs(density(row.Wt, 20)-row.Density))
		}
		t.Logf("%s: at most %.5f g/cm3 off the handbook, 20 to 50 %%", name, worst)
		if !(worst <= bounds[name]) {
			t.Errorf("%s: %.5f g/cm3 off the handbook, more than %v", name, worst, bounds[name])
		}
	}
	// From memory of a second handbook; it may only confirm.
	for _, row := range f.Perry.Rows {
		if got := f.linear(row.Wt, f.Perry.Temperature); math.Abs(got-row.Density) > 0.00015 {
			t.Errorf("%v %% at %v °C: %.5f, from memory %.4f", row.Wt, f.Perry.Temperature, got, row.Density)
		}
	}
}
