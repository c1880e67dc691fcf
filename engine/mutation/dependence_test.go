package mutation

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/open-policy-agent/opa/v1/ast"
)

// TestReadsForClass: what a rule reads by the class of the machine matters to visits to
// machines of that class, if that is the class that the helper gives; what it reads of
// the classes otherwise matters to all.
func TestReadsForClass(t *testing.T) {
	const rule = `package condition.battery.told

import data.shared.visit

conforming contains "battery" if input.visit.volts >= visit.class.battery.volts

nonconforming contains "battery" if {
	some name
	input.visit.volts < data.classes[name].worst
}
`
	for _, c := range []struct {
		name, class string
		// What a visit to a machine of class "small" can depend on.
		volts, otherVolts bool
	}{
		{"of the machine", "class := data.classes[input.visit.machine.class]", true, false},
		{"a twin", `class := data.classes[concat("-", [input.visit.machine.class, "twin"])]`, true, true},
		{"two of them", "class := data.classes[input.visit.machine.class] if input.visit.new\n\nclass := data.classes.old if input.visit.old", true, true},
		{"a table", "class[name] := data.classes[name] if some name in [\"battery\"]", true, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			release := fstest.MapFS{
				"condition/battery/told.rego": {Data: []byte(rule)},
				"shared/visit.rego":           {Data: []byte("package shared.visit\n\n" + c.class + "\n")},
			}
			modules := map[string]*ast.Module{}
			for file, source := range release {
				m, err := ast.ParseModule(file, string(source.Data))
				if err != nil {
					t.Fatal(err)
				}
				modules[file] = m
			}
			compiler := ast.NewCompiler()
			if compiler.Compile(modules); compiler.Failed() {
				t.Fatal(compiler.Errors)
			}
			ofVisit, err := classOfVisit(release, compiler)
			if err != nil {
				t.Fatal(err)
			}
			d := newDependence(compiler, "condition.battery.told", ofVisit)
			for path, want := range map[string]bool{
				"classes/small/battery/volts": c.volts,
				"classes/small/worst":         true,
				"classes/large/battery/volts": c.otherVolts,
				"classes/large/worst":         true,
				"classes/large/battery/cells": !ofVisit,
				"limits/battery/volts/min":    false,
			} {
				if got := d.readsFor("small", strings.Split(path, "/")); got != want {
					t.Errorf("reads %s: %v, want %v", path, got, want)
				}
				if !d.reads(strings.Split(path, "/")) && want {
					t.Errorf("%s can matter to a class, and to none", path)
				}
			}
		})
	}
}
