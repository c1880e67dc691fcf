package judge

import (
	"context"
	"math/big"
	"os"
	"sync"
	"testing"

	"go.yaml.in/yaml/v3"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// released is the set that the numbers of the demo are judged by.
var released = sync.OnceValues(func() (*ruleset.Set, error) {
	return ruleset.Load(context.Background(), os.DirFS("../../policies/1.0.0"), ruleset.Options{Version: "1.0.0"})
})

func release(t *testing.T) *ruleset.Set {
	t.Helper()
	set, err := released()
	if err != nil {
		t.Fatal(err)
	}
	return set
}

// What a reading is in another unit agrees with the conversions worked from NIST
// SP 811 (testdata/published), to the step that is printed.
func TestInUnit(t *testing.T) {
	set := release(t)
	data, err := os.ReadFile("../../testdata/published/nist-sp811.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var nist struct {
		Worked []struct{ Value, From, To, Result, Within string }
	}
	if err := yaml.Unmarshal(data, &nist); err != nil {
		t.Fatal(err)
	}
	tried := 0
	for _, w := range nist.Worked {
		from, ok := set.Unit(w.From)
		to, also := set.Unit(w.To)
		if !ok || !also {
			continue
		}
		tried++
		value, _ := new(big.Rat).SetString(w.Value)
		text, err := inUnit(value, 9, from, to, nil)
		if err != nil {
			t.Fatal(err)
		}
		got, _ := new(big.Rat).SetString(text)
		want, _ := new(big.Rat).SetString(w.Result)
		within, _ := new(big.Rat).SetString(w.Within)
		within.Add(within, big.NewRat(1, 1_000_000_000))
		if off := new(big.Rat).Sub(got, want); off.Abs(off).Cmp(within) > 0 {
			t.Errorf("%s %s is told as %s %s, published %s", w.Value, w.From, text, w.To, w.Result)
		}
	}
	if tried < 8 {
		t.Errorf("%d published conversions tried, want more", tried)
	}
}

func TestConvert(t *testing.T) {
	src := source{set: release(t)}
	reading := func(name, value, unit string) verdict.Fact {
		return verdict.Fact{Name: name, Value: value, Unit: unit, Text: src.withUnit(value, unit), Pointer: "/" + name}
	}
	limit := func(name, value, unit string) verdict.Fact {
		return verdict.Fact{Name: name, Value: value, Unit: unit, Text: src.withUnit(value, unit), Limit: "l." + name}
	}
	tests := []struct {
		name  string
		facts []verdict.Fact
		want  string // the text of the last
	}{
		{"in the unit of its limit", []verdict.Fact{limit("least", "90", "in.lbf"), reading("torque", "95", "in.lbf")}, "95 in·lbf"},
		{"in another unit", []verdict.Fact{limit("least", "90", "in.lbf"), reading("torque", "9.8", "N.m")}, "9.8 N·m (86.7 in·lbf)"},

		{"finer where it must be", []verdict.Fact{limit("most", "0.5", "in"), reading("edge", "12.701", "mm")}, "12.701 mm (0.50004 in)"},
		{"another quantity says nothing", []verdict.Fact{limit("apart", "40", "degF-diff"), reading("temperature", "24", "degC")}, "24 °C"},
		{"a temperature has an offset", []verdict.Fact{limit("hot", "125", "degF"), reading("temperature", "51.7", "degC")}, "51.7 °C (125.1 °F)"},
		{"by a number worked out", []verdict.Fact{{Name: "acid", Value: "6.33", Unit: "V", Text: "6.33 V"}, reading("voltage", "4230", "mV")}, "4230 mV (4.230 V)"},
		{"as the reading before it", []verdict.Fact{reading("found", "0.6", "in"), reading("left", "15.25", "mm")}, "15.25 mm (0.6004 in)"},
		{"one that comes first stays", []verdict.Fact{reading("left", "15.25", "mm")}, "15.25 mm"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			before := test.facts[len(test.facts)-1]
			src.convert(test.facts)
			got := test.facts[len(test.facts)-1]
			if got.Text != test.want {
				t.Errorf("got %q, want %q", got.Text, test.want)
			}
			if got.Value != before.Value || got.Unit != before.Unit {
				t.Errorf("value and unit are %q %q, recorded were %q %q", got.Value, got.Unit, before.Value, before.Unit)
			}
		})
	}
}

// A number that a rule worked out is printed more finely where it would look like
// the limit that it misses.
func TestRefine(t *testing.T) {
	src := source{set: release(t)}
	facts := []verdict.Fact{
		{Name: "limit", Value: "0.020", Unit: "sg", Limit: "battery.spread_minor max"},
		{Name: "spread", Value: "0.0200", Unit: "sg"},
		{Name: "same", Value: "0.0200", Unit: "sg"},
	}
	src.refine(facts, map[int]*big.Rat{0: nil, 1: big.NewRat(20003, 1_000_000), 2: big.NewRat(2, 100)})
	if facts[1].Text != "0.020003" || facts[2].Text != "0.0200" {
		t.Errorf("got %q and %q", facts[1].Text, facts[2].Text)
	}
}
