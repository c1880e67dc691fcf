package policies_test

import (
	"encoding/json"
	"maps"
	"math"
	"math/big"
	"slices"
	"strconv"
	"testing"
)

type gravityFile struct {
	Table struct {
		Unit         string    `yaml:"unit"`
		Temperatures []decimal `yaml:"temperatures"`
		Reference    decimal   `yaml:"reference"`
		Tolerance    decimal   `yaml:"tolerance"`
		Rows         []struct {
			Readings []decimal `yaml:"readings"`
		} `yaml:"rows"`
	} `yaml:"table"`
	Rules    []gravityRule `yaml:"rules"`
	Examples []struct {
		Rule        string  `yaml:"rule"`
		Reading     decimal `yaml:"reading"`
		Temperature decimal `yaml:"temperature"`
		Unit        string  `yaml:"unit"`
		Corrected   decimal `yaml:"corrected"`
	} `yaml:"examples"`
	Policies struct {
		Within decimal  `yaml:"within"`
		Order  []string `yaml:"order"`
		Rows   []struct {
			Reading     decimal   `yaml:"reading"`
			Temperature decimal   `yaml:"temperature"`
			Unit        string    `yaml:"unit"`
			Corrected   []decimal `yaml:"corrected"`
		} `yaml:"rows"`
	} `yaml:"policies"`
}

// A gravityRule is a rule in print: coefficient × (temperature - reference) is
// added to a reading.
type gravityRule struct {
	ID          string   `yaml:"id"`
	Reference   decimal  `yaml:"reference"`
	Unit        string   `yaml:"unit"`
	Coefficient fraction `yaml:"coefficient"`
}

// asLimits puts the rule in the place of the release's own, so that the release's
// helper follows it. A coefficient of a third is cut at nine decimals.
func (g gravityRule) asLimits(t *testing.T, battery map[string]any) map[string]any {
	t.Helper()
	per := g.Coefficient.rat() // a degree Fahrenheit
	if g.Unit == "degC" {
		per.Mul(per, big.NewRat(5, 9))
	}
	return with(with(battery, "temperature_coefficient", json.Number(per.FloatString(9)), "sg"), "reference_temperature", g.Reference.number(), g.Unit)
}

// with returns limits in which one is set to a single value.
func with(limits map[string]any, name string, value json.Number, unit string) map[string]any {
	out := maps.Clone(limits)
	row := maps.Clone(out[name].(map[string]any))
	row["min"], row["max"], row["unit"] = value, value, unit
	out[name] = row
	return out
}

// battery returns the release's battery limits, with gravity judged at any
// temperature: the table reaches from far below to above what a visit may use.
func (r *release) battery() map[string]any {
	out := maps.Clone(r.data["limits"].(map[string]any)["battery"].(map[string]any))
	row := maps.Clone(out["gravity_temperature"].(map[string]any))
	row["min"], row["max"] = json.Number("-100"), json.Number("200")
	out["gravity_temperature"] = row
	return out
}

// A sample is one hydrometer reading. Scale is empty for a plain hydrometer, else
// the reference that a compensating one states.
type sample struct {
	reading, temperature decimal
	unit, scale          string
}

// visit writes the sample as the part of a record that the correction reads. The
// air is as warm as the acid, so that no reading is doubted for its temperature.
func (s sample) visit() map[string]any {
	instrument := func(id, quantity string) map[string]any {
		return map[string]any{
			"id": id, "kind": "calibrated", "last": "2026-01-12", "next": "2027-01-12",
			"measures": []any{map[string]any{"quantity": quantity}}, "compensated": false,
		}
	}
	hydrometer := instrument("hy", "gravity")
	if s.scale != "" {
		hydrometer["compensated"], hydrometer["reference_temperature"] = true, s.scale
	}
	reading := func(value decimal, unit, instrument string) map[string]any {
		return map[string]any{"as_found": map[string]any{"value": value.number(), "unit": unit, "instrument": instrument}}
	}
	return map[string]any{
		"started":     "2026-05-04T08:00:00+02:00",
		"machine":     map[string]any{"class": "none"},
		"instruments": []any{hydrometer, instrument("th", "temperature")},
		"place":       map[string]any{"ambient": reading(s.temperature, s.unit, "th")},
		"battery": map[string]any{"cells": []any{map[string]any{
			"cell": "B1.1", "gravity": reading(s.reading, "sg", "hy"), "temperature": reading(s.temperature, s.unit, "th"),
		}}},
	}
}

// corrected corrects samples by the release's helper under the limits given.
func (r *release) corrected(t *testing.T, samples []sample, battery map[string]any) []*big.Rat {
	t.Helper()
	var cases []map[string]any
	for _, s := range samples {
		cases = append(cases, map[string]any{"visit": s.visit(), "battery": battery})
	}
	const body = `visit := c.visit; battery := c.battery; x := data.shared.battery.corrected with input.visit as visit with data.limits.battery as battery`
	var out []*big.Rat
	for i, a := range r.solve(t, body, cases) {
		found, _ := a.(map[string]any)["cell B1.1"].([]any)
		if len(found) != 1 {
			t.Fatalf("%d corrected gravities for %+v", len(found), samples[i])
		}
		out = append(out, ratOf(t, found[0].(map[string]any)["q"]))
	}
	return out
}

// TestGravityTable corrects every cell of a published table by the release's own
// rule and expects the table's value at the reference. The table's headings were
// inferred; see gravity-table.yaml.
func TestGravityTable(t *testing.T) {
	r := helpers(t)
	var file gravityFile
	published(t, "gravity-table.yaml", &file)
	var samples []sample
	var want []decimal
	for _, row := range file.Table.Rows {
		for i, temperature := range file.Table.Temperatures {
			samples = append(samples, sample{reading: row.Readings[i], temperature: temperature, unit: file.Table.Unit})
			for k, at := range file.Table.Temperatures {
				if at == file.Table.Reference {
					want = append(want, row.Readings[k])
				}
			}
		}
	}
	if len(samples) != 77 || len(want) != 77 {
		t.Fatalf("%d cells and %d references, not 77", len(samples), len(want))
	}
	worst := new(big.Rat)
	for i, got := range r.corrected(t, samples, r.battery()) {
		off := new(big.Rat).Sub(got, want[i].rat())
		if off.Abs(off).Cmp(worst) > 0 {
			worst = off
		}
		if off.Cmp(file.Table.Tolerance.rat()) > 0 {
			t.Errorf("%s at %s °F: %s, table %s", samples[i].reading, samples[i].temperature, got.FloatString(6), want[i])
		}
	}
	t.Logf("77 cells, at most %s off", worst.FloatString(6))
}

// TestGravityRules follows each rule in print on its own examples. Those of the
// release's rule are met exactly; a coefficient of a third to the point.
func TestGravityRules(t *testing.T) {
	r := helpers(t)
	var file gravityFile
	published(t, "gravity-table.yaml", &file)
	rules := map[string]gravityRule{}
	for _, rule := range file.Rules {
		rules[rule.ID] = rule
	}
	for _, e := range file.Examples {
		rule, ok := rules[e.Rule]
		if !ok {
			t.Fatalf("no rule %q", e.Rule)
		}
		got := r.corrected(t, []sample{{reading: e.Reading, temperature: e.Temperature, unit: e.Unit}}, rule.asLimits(t, r.battery()))[0]
		if rule.ID != "four-per-ten" {
			points := new(big.Rat).Mul(got, big.NewRat(1000, 1))
			got.Quo(new(big.Rat).SetInt(halfEven(points)), big.NewRat(1000, 1))
		}
		if got.Cmp(e.Corrected.rat()) != 0 {
			t.Errorf("%s at %s %s by %s: %s, want %s", e.Reading, e.Temperature, e.Unit, e.Rule, got.FloatString(6), e.Corrected)
		}
		// The release itself follows the first rule, whatever its limits file says in words.
		if rule.ID == "four-per-ten" {
			if own := r.corrected(t, []sample{{reading: e.Reading, temperature: e.Temperature, unit: e.Unit}}, r.battery())[0]; own.Cmp(e.Corrected.rat()) != 0 {
				t.Errorf("%s at %s %s by the release: %s, want %s", e.Reading, e.Temperature, e.Unit, own.FloatString(6), e.Corrected)
			}
		}
	}
	differ := 0
	for _, row := range file.Policies.Rows {
		for i, id := range file.Policies.Order {
			got := r.corrected(t, []sample{{reading: row.Reading, temperature: row.Temperature, unit: row.Unit}}, rules[id].asLimits(t, r.battery()))[0]
			if !near(got, row.Corrected[i].rat(), file.Policies.Within.rat()) {
				t.Errorf("%s at %s %s by %s: %s, want %s", row.Reading, row.Temperature, row.Unit, id, got.FloatString(6), row.Corrected[i])
			}
			if row.Corrected[i] != row.Corrected[0] {
				differ++
			}
		}
	}
	if differ < 30 {
		t.Errorf("only %d corrections tell one rule from another", differ)
	}
}

// text writes a computed value as a reading of four decimals.
func text(v float64) decimal { return decimal(strconv.FormatFloat(v, 'f', 4, 64)) }

// TestGravityDensity corrects the density that acid of 30 to 40 % has at 10 to
// 40 °C and expects the density that the same acid has at 80 °F, by two models
// that know nothing of hydrometers.
func TestGravityDensity(t *testing.T) {
	const bound = 0.002
	r := helpers(t)
	f := acid(t)
	for name, density := range f.models() {
		var samples []sample
		var want []float64
		for wt := 30.0; wt <= 40; wt++ {
			for c := 10.0; c <= 40; c += 2.5 {
				samples = append(samples, sample{reading: text(density(wt, c)), temperature: text(c), unit: "degC"})
				want = append(want, density(wt, celsius(80)))
			}
		}
		worst, at := 0.0, sample{}
		for i, got := range r.corrected(t, samples, r.battery()) {
			v, _ := got.Float64()
			if off := math.Abs(v - want[i]); off > worst {
				worst, at = off, samples[i]
			}
		}
		t.Logf("%s: %d samples, at most %.5f off, at a reading of %s at %s °C", name, len(samples), worst, at.reading, at.temperature)
		if !(worst <= bound) {
			t.Errorf("%s: %.5f off, more than %v", name, worst, bound)
		}
	}
}

// TestGravityScales corrects readings of compensating hydrometers, which show the
// gravity at their scale's reference, and expects the density at 80 °F.
func TestGravityScales(t *testing.T) {
	const bound = 0.001
	r := helpers(t)
	f := acid(t)
	for name, density := range f.models() {
		worst := 0.0
		for scale, c := range map[string]float64{"60 degF": celsius(60), "77 degF": celsius(77), "80 degF": celsius(80), "20 degC": 20} {
			for wt := 30.0; wt <= 40; wt++ {
				got := r.corrected(t, []sample{{reading: text(density(wt, c)), temperature: "95", unit: "degF", scale: scale}}, r.battery())[0]
				v, _ := got.Float64()
				worst = max(worst, math.Abs(v-density(wt, celsius(80))))
			}
		}
		t.Logf("%s: at most %.5f off", name, worst)
		if !(worst <= bound) {
			t.Errorf("%s: %.5f off, more than %v", name, worst, bound)
		}
	}
}

// TestGravityCoefficient holds the release's coefficient to the slope that acid
// of motive-power strength has, and to the range that any coefficient must be in.
func TestGravityCoefficient(t *testing.T) {
	r := helpers(t)
	f := acid(t)
	n, err := r.battery()["temperature_coefficient"].(map[string]any)["min"].(json.Number).Float64()
	if err != nil {
		t.Fatal(err)
	}
	own := n * 1.8 // a degree Celsius
	if own < 0.0005 || own > 0.0009 {
		t.Errorf("coefficient %v per °C is outside 0.0005 to 0.0009", own)
	}
	for name, density := range f.models() {
		slope := (density(36, 20) - density(36, 30)) / 10
		t.Logf("%s: 36 %% acid changes by %.6f per °C, the release by %.6f", name, slope, own)
		if math.Abs(slope-0.00072) > 0.00003 {
			t.Errorf("%s: slope %.6f per °C, not 0.00072", name, slope)
		}
		if math.Abs(slope-own) > 0.00003 {
			t.Errorf("%s: slope %.6f per °C, the release has %.6f", name, slope, own)
		}
	}
}

// TestFreezingPoints holds the freezing points in the release's limits to the
// published table, and that and a second table to the handbook's freezing
// depressions.
func TestFreezingPoints(t *testing.T) {
	const bound = 2.5 // °C; the tables' gravities are at 80 °F, the handbook's densities at 20 °C
	f := acid(t)
	limits := helpers(t).data["limits"].(map[string]any)["freezing"].(map[string]any)
	if len(limits) != len(f.Freezing.Rows) {
		t.Errorf("%d freezing points in the limits, %d published", len(limits), len(f.Freezing.Rows))
	}
	for _, p := range f.Freezing.Rows {
		name := "at_" + string(p.Gravity[:1]) + "_" + string(p.Gravity[2:])
		row, ok := limits[name].(map[string]any)
		if !ok {
			t.Errorf("no limit freezing.%s", name)
			continue
		}
		if row["unit"] != "degF" || decimal(row["min"].(json.Number)).rat().Cmp(p.FreezesAt.rat()) != 0 {
			t.Errorf("freezing.%s is %v %v, published %s degF", name, row["min"], row["unit"], p.FreezesAt)
		}
	}
	compared := 0
	for _, p := range append(slices.Clone(f.Freezing.Rows), f.Freezing.Second.Rows...) {
		handbook, ok := f.freezing(p.Gravity.float())
		if !ok {
			continue // the handbook stops at 34 %
		}
		compared++
		table := celsius(p.FreezesAt.float())
		t.Logf("gravity %s: %.1f °C in the table, %.1f °C in the handbook", p.Gravity, table, handbook)
		if math.Abs(handbook-table) > bound {
			t.Errorf("gravity %s freezes at %.1f °C, by the handbook at %.1f °C", p.Gravity, table, handbook)
		}
	}
	if compared != 8 {
		t.Errorf("%d freezing points compared with the handbook, not 8", compared)
	}
}
