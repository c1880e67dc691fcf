package policies_test

import (
	"encoding/json"
	"math/big"
	"slices"
	"strings"
	"testing"
)

// A unit is a row of units.yaml: base = value × num / den + add.
type unit struct {
	Quantity string      `json:"quantity"`
	Num      json.Number `json:"num"`
	Den      json.Number `json:"den"`
	Add      json.Number `json:"add"`
	UCUM     string      `json:"ucum"`
}

// unitsOf reads the release's units.
func (r *release) unitsOf(t *testing.T) map[string]unit {
	t.Helper()
	b, err := json.Marshal(r.data["units"])
	if err != nil {
		t.Fatal(err)
	}
	var units map[string]unit
	if err := json.Unmarshal(b, &units); err != nil {
		t.Fatal(err)
	}
	if len(units) == 0 {
		t.Fatal("the release has no units")
	}
	return units
}

// base converts a value to the base unit by the row alone.
func (u unit) base(v *big.Rat) *big.Rat {
	b := new(big.Rat).Mul(v, decimal(u.Num).rat())
	b.Quo(b, decimal(u.Den).rat())
	return b.Add(b, decimal(u.Add).rat())
}

// isBase reports whether the unit is the base unit of its quantity.
func (u unit) isBase() bool {
	return u.Num == "1" && u.Den == "1" && u.Add == "0"
}

type nistFile struct {
	Factors []struct {
		Quantity string   `yaml:"quantity"`
		From     string   `yaml:"from"`
		To       string   `yaml:"to"`
		Num      decimal  `yaml:"num"`
		Den      decimal  `yaml:"den"`
		Add      fraction `yaml:"add"`
		Printed  decimal  `yaml:"printed"`
	} `yaml:"factors"`
	Worked []struct {
		Value  decimal `yaml:"value"`
		From   string  `yaml:"from"`
		To     string  `yaml:"to"`
		Result decimal `yaml:"result"`
		Within decimal `yaml:"within"`
	} `yaml:"worked"`
	NotThese []struct {
		Unit   string  `yaml:"unit"`
		To     string  `yaml:"to"`
		Factor decimal `yaml:"factor"`
	} `yaml:"not_these"`
}

// exactOf converts values of units to base units by the release's helper.
func (r *release) exactOf(t *testing.T, cases []map[string]any) []*big.Rat {
	t.Helper()
	var out []*big.Rat
	for _, a := range r.each(t, "data.shared.exact.of(c.value, data.units[c.unit])", cases) {
		out = append(out, ratOf(t, a))
	}
	return out
}

// TestUnitsByDefinition compares every unit with the exact definitions behind
// NIST SP 811: equal as fractions, not nearly equal.
func TestUnitsByDefinition(t *testing.T) {
	r := helpers(t)
	units := r.unitsOf(t)
	var nist nistFile
	published(t, "nist-sp811.yaml", &nist)
	covered := map[string]bool{}
	values := []decimal{"1", "0.001", "1.265", "90", "98.6", "12345.678901234", "-40", "0"}
	for _, f := range nist.Factors {
		from, known := units[f.From]
		to, also := units[f.To]
		if !known || !also {
			continue
		}
		covered[f.From], covered[f.To] = true, true
		if from.Quantity != f.Quantity || to.Quantity != f.Quantity {
			t.Errorf("%s and %s are %s and %s, not %s", f.From, f.To, from.Quantity, to.Quantity, f.Quantity)
		}
		factor := fraction{f.Num, f.Den}.rat()
		var cases []map[string]any
		for _, v := range values {
			cases = append(cases, map[string]any{"value": v.number(), "unit": f.From})
		}
		for i, got := range r.exactOf(t, cases) {
			want := new(big.Rat).Mul(values[i].rat(), factor)
			if f.Add.Num != "" {
				want.Add(want, f.Add.rat())
			}
			want = to.base(want)
			if got.Cmp(want) != 0 {
				t.Errorf("%s %s is %s in the base unit, by definition %s", values[i], f.From, got.RatString(), want.RatString())
			}
		}
	}
	for name, u := range units {
		if !covered[name] && !u.isBase() {
			t.Errorf("unit %s has no definition in nist-sp811.yaml to compare it with", name)
		}
	}
}

// TestUnitsPrinted compares the exact definitions with the rounded factors that
// NIST SP 811 prints, so that the definitions themselves are not only ours.
func TestUnitsPrinted(t *testing.T) {
	var nist nistFile
	published(t, "nist-sp811.yaml", &nist)
	compared := 0
	for _, f := range nist.Factors {
		if f.Printed == "" {
			continue
		}
		compared++
		_, places, _ := strings.Cut(string(f.Printed), ".")
		half := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Mul(big.NewInt(2), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(len(places))), nil)))
		if factor := (fraction{f.Num, f.Den}).rat(); !near(factor, f.Printed.rat(), half) {
			t.Errorf("1 %s is %s %s, printed %s", f.From, factor.FloatString(12), f.To, f.Printed)
		}
	}
	if compared < 8 {
		t.Errorf("only %d printed factors", compared)
	}
}

// TestUnitsWorked converts there by the release's helper and back by its table.
func TestUnitsWorked(t *testing.T) {
	r := helpers(t)
	units := r.unitsOf(t)
	var nist nistFile
	published(t, "nist-sp811.yaml", &nist)
	compared := 0
	for _, w := range nist.Worked {
		to, ok := units[w.To]
		if _, known := units[w.From]; !ok || !known {
			continue
		}
		compared++
		got := r.exactOf(t, []map[string]any{{"value": w.Value.number(), "unit": w.From}})[0]
		got.Sub(got, decimal(to.Add).rat())
		got.Mul(got, decimal(to.Den).rat())
		got.Quo(got, decimal(to.Num).rat())
		if !near(got, w.Result.rat(), w.Within.rat()) {
			t.Errorf("%s %s is %s %s, not %s", w.Value, w.From, got.FloatString(8), w.To, w.Result)
		}
	}
	if compared < 10 {
		t.Errorf("only %d worked conversions", compared)
	}
	for _, n := range nist.NotThese {
		if inch := units["inH2O"].base(big.NewRat(1, 1)); inch.Cmp(n.Factor.rat()) == 0 {
			t.Errorf("inH2O is the %s", n.Unit)
		}
	}
}

type ucumFile struct {
	Version     string `json:"version"`
	Conversions []struct {
		Quantity string  `json:"quantity"`
		Unit     string  `json:"unit"`
		Code     string  `json:"code"`
		Value    decimal `json:"value"`
		To       string  `json:"to"`
		Result   decimal `json:"result"`
	} `json:"conversions"`
	Traps []struct {
		Code  string `json:"code"`
		Valid bool   `json:"valid"`
	} `json:"traps"`
}

// TestUnitsUCUM compares every unit with what the UCUM reference library makes
// of its code, to nine digits: the library computes in binary floating point.
func TestUnitsUCUM(t *testing.T) {
	r := helpers(t)
	units := r.unitsOf(t)
	var ucum ucumFile
	published(t, "ucum/ucum.json", &ucum)
	byCode := func(quantity, code string) (unit, bool) {
		for _, u := range units {
			if u.Quantity == quantity && u.UCUM == code {
				return u, true
			}
		}
		return unit{}, false
	}
	covered := map[string]bool{}
	for _, c := range ucum.Conversions {
		u, known := units[c.Unit]
		if !known || u.Quantity != c.Quantity {
			continue
		}
		if u.UCUM != c.Code {
			t.Errorf("unit %s: code %q, converted as %q", c.Unit, u.UCUM, c.Code)
		}
		to, ok := byCode(c.Quantity, c.To)
		if !ok {
			continue
		}
		covered[c.Unit] = true
		got := r.exactOf(t, []map[string]any{{"value": c.Value.number(), "unit": c.Unit}})[0]
		want := to.base(c.Result.rat())
		scale := new(big.Rat).Abs(want)
		if one := big.NewRat(1, 1); u.Quantity == "temperature" && scale.Cmp(one) < 0 {
			scale = one // noise about a zero of the scale has no relative size
		}
		if !near(got, want, scale.Mul(scale, big.NewRat(1, 1e9))) {
			t.Errorf("%s %s is %s in the base unit, by UCUM %s", c.Value, c.Unit, got.FloatString(12), want.FloatString(12))
		}
	}
	for name, u := range units {
		if !covered[name] && !u.isBase() {
			t.Errorf("unit %s was not converted by the UCUM library: add it to make.mjs", name)
		}
	}
}

// TestUnitsTraps keeps codes that look right and are not out of units.yaml.
func TestUnitsTraps(t *testing.T) {
	var ucum ucumFile
	published(t, "ucum/ucum.json", &ucum)
	var bad []string
	for _, trap := range ucum.Traps {
		bad = append(bad, trap.Code)
	}
	if !slices.Contains(bad, "mph") {
		t.Fatal("mph, which is a valid code for milliphot, is not among the traps")
	}
	for name, u := range helpers(t).unitsOf(t) {
		if slices.Contains(bad, u.UCUM) {
			t.Errorf("unit %s: UCUM code %q is one of %v", name, u.UCUM, bad)
		}
	}
}
