package explain

import (
	"os"
	"slices"
	"testing"

	"github.com/visitgauge/visitgauge/engine/reads"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// TestClasses holds what is told of classes to the class files of a released folder, which
// is frozen: policies/1.1.0/classes. What a number is about where a class gives no title is
// as schema/classes.v1.json words it.
func TestClasses(t *testing.T) {
	set, err := ruleset.Load(t.Context(), os.DirFS("../../policies/1.1.0"), ruleset.Options{})
	if err != nil {
		t.Fatal(err)
	}
	found, err := reads.Find(set)
	if err != nil {
		t.Fatal(err)
	}
	const (
		machine = "invented for this class; a real one takes the machine's manual"
		battery = "invented for this class; a real one takes the battery's manual"
		ride    = "ride-on-flooded"
		walk    = "walk-behind-flooded"
		sealed  = "walk-behind-sealed"
	)
	flow := func(class, least, most, unit, decided string) ClassNumber {
		return ClassNumber{Class: class, Name: "ranges.flow-full", About: "solution flow at full", Min: least, Max: most, Unit: unit, Symbol: unit,
			Step: "solution-flow", Severity: "minor", Place: "0.1", Decided: decided, Mark: "common practice", Source: machine}
	}
	rated := func(class, value string) ClassNumber {
		return ClassNumber{Class: class, Name: "charger.rated_current", About: "Rated output current, A", Value: value}
	}
	drive := func(class, meter string) ClassNumber {
		return ClassNumber{Class: class, Name: "duty." + meter, About: "Usual share of power-on hours of each motor, per cent", Min: "20", Max: "95"}
	}
	tests := []struct {
		rule    string
		numbers []ClassNumber
		class   []string // what else is read
	}{
		{"condition.machine.flow_within_limits", []ClassNumber{
			flow(ride, "0.7", "1.2", "gal/min", "rounded"), flow(walk, "1.5", "2.5", "L/min", "direct"), flow(sealed, "1.5", "2.5", "L/min", "direct"),
		}, []string{"requires.*.kind", "requires.*.level", "requires.*.steps.*"}},
		{"condition.battery.sealed_voltage_spread", []ClassNumber{{
			Class: sealed, Name: "battery.voltage_spread", About: "spread of rest voltage between blocks", Max: "0.2", Unit: "V", Symbol: "V",
			Place: "0.1", Decided: "guarded", Mark: "common practice", Source: battery,
		}}, []string{"battery.blocks.*", "battery.type", "requires.*.areas.*", "requires.*.kind", "requires.*.level"}},
		{"condition.charger.output_current", []ClassNumber{rated(ride, "35"), rated(walk, "25"), rated(sealed, "12")},
			[]string{"requires.*.areas.*", "requires.*.kind", "requires.*.level", "requires.*.steps.*"}},
		{"programme.duty.usual_share", []ClassNumber{
			drive(ride, "drive"), drive(walk, "drive"), drive(sealed, "drive"), drive(ride, "brush"), drive(walk, "brush"), drive(sealed, "brush"),
			drive(ride, "vacuum"), drive(walk, "vacuum"), drive(sealed, "vacuum"),
		}, []string{"requires.*.areas.*", "requires.*.kind", "requires.*.level"}},
		{"procedure.record.readings_recorded", nil,
			[]string{"ranges.*.reading", "ranges.*.step", "ranges.*.title", "requires.*.kind", "requires.*.level", "requires.*.steps.*"}},
	}
	for _, test := range tests {
		t.Run(test.rule, func(t *testing.T) {
			x := &Explanation{Rule: ruleset.Rule{Name: test.rule}}
			if err := x.classes(set, found, found.Rule(test.rule).Paths); err != nil {
				t.Fatal(err)
			}
			got := slices.Clone(x.ClassNumbers)
			for i := range got {
				got[i].order = ""
			}
			if !slices.Equal(got, test.numbers) {
				t.Errorf("numbers\n%+v\nwant\n%+v", got, test.numbers)
			}
			if !slices.Equal(x.Class, test.class) {
				t.Errorf("else %q\nwant %q", x.Class, test.class)
			}
		})
	}
	t.Run("in the order of the class", func(t *testing.T) {
		x := &Explanation{Rule: ruleset.Rule{Name: "condition.machine.wear_within_limits"}}
		if err := x.classes(set, found, found.Rule(x.Rule.Name).Paths); err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, n := range x.ClassNumbers {
			names = appendNew(names, n.Name)
		}
		want := []string{"ranges.brush-wear", "ranges.squeegee-wear", "ranges.brush-motor-brush", "ranges.vacuum-motor-brush", "ranges.drive-motor-brush"}
		if !slices.Equal(names, want) {
			t.Errorf("got %q, want %q", names, want)
		}
	})
}
