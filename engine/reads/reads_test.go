package reads

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/open-policy-agent/opa/v1/dependencies"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

func small(t *testing.T) (*ruleset.Set, *Reads) {
	t.Helper()
	set, err := ruleset.Load(t.Context(), os.DirFS("../ruleset/testdata/small"), ruleset.Options{})
	if err != nil {
		t.Fatal(err)
	}
	found, err := Find(set)
	if err != nil {
		t.Fatal(err)
	}
	return set, found
}

func TestRule(t *testing.T) {
	_, found := small(t)
	use := found.Rule("condition.battery.full_charge_gravity")
	var got []string
	for _, p := range use.Paths {
		got = append(got, p.String())
	}
	want := []string{
		"data.classes.one.battery.cells_each", "data.classes.one.battery.type",
		"data.classes.two.battery.cells_each", "data.classes.two.battery.type",
		"data.limits.battery.full_charge_gravity.min",
		"input.visit.battery.cells.*.cell",
		"input.visit.battery.cells.*.gravity.as_found.value",
		"input.visit.battery.cells.*.gravity.as_left.value",
		"input.visit.machine.class",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	for _, helper := range []string{"shared.exact.nano", "shared.visit.class"} {
		if !strings.Contains(use.Helpers[helper], helper[strings.LastIndexByte(helper, '.')+1:]) {
			t.Errorf("the text of %s is %q", helper, use.Helpers[helper])
		}
	}
	if _, ok := use.Helpers["shared.visit.completion"]; ok {
		t.Error("a helper that the rule does not use is listed")
	}
	if about := found.About(Path{"input", "visit", "battery", "cells", "*", "cell"}); about != "Block and number in it." {
		t.Errorf("of a cell's name the schema says %q", about)
	}
}

// TestAgreesWithOPA holds what is found to OPA's own finder of base documents,
// which follows no local variable: all that it names must be found, or something
// inside of it.
func TestAgreesWithOPA(t *testing.T) {
	set, found := small(t)
	paths := found.All().Paths
	checked := 0
	for _, m := range set.Compiler().Modules {
		for _, r := range m.Rules {
			refs, err := dependencies.Base(set.Compiler(), r)
			if err != nil {
				t.Fatal(err)
			}
			for _, ref := range refs {
				var want []string
				for _, term := range ref.ConstantPrefix() {
					want = append(want, strings.Trim(term.Value.String(), `"`))
				}
				checked++
				if !slices.ContainsFunc(paths, func(p Path) bool { return p.Under(want...) }) {
					t.Errorf("%s reads %s, which is not found", m.Package.Path, ref)
				}
			}
		}
	}
	if checked == 0 {
		t.Error("nothing was compared")
	}
}
