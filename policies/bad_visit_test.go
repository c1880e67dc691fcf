package policies_test

import (
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// TestBadVisits judges records that are in order as documents and wrong as
// visits. Each comes back with a plain finding that names what is wrong, and
// nothing else is lost: the rules that can still be asked are answered.
func TestBadVisits(t *testing.T) {
	b := newBench(t)
	var base trial
	for _, like := range b.spotless(t) {
		if like.name == "walk-behind-flooded" {
			base = like
		}
	}
	tests := []struct {
		name    string
		path    []any
		value   string
		rule    string
		subject string
		says    string // part of the statement
	}{
		{
			name: "a class nobody knows", path: []any{"machine", "class"}, value: "walk-behind-steam",
			rule: "procedure.record.class_known", subject: "class", says: "walk-behind-steam",
		},
		{
			name: "a cell the class does not have", path: []any{"battery", "cells", 2, "cell"}, value: "B1.9",
			rule: "procedure.record.ids_of_class", subject: "visit", says: "B1.9",
		},
		{
			name: "an end before the start", path: []any{"ended"}, value: "2026-05-04T07:30:00+02:00",
			rule: "procedure.record.gate_times", subject: "visit", says: "ended",
		},
		{
			name: "a level of service the class does not have", path: []any{"service_level"}, value: "yearly",
			rule: "procedure.record.level_known", subject: "visit", says: "yearly",
		},
		{
			name: "a step nobody knows", path: []any{"steps", 3, "step"}, value: "polish-chrome",
			rule: "procedure.record.steps_of_class", subject: "visit", says: "polish-chrome",
		},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			r, err := b.one(t.Context(), base, spot{path: test.path}.set(base.doc, "", test.value))
			if err != nil {
				t.Fatal(err)
			}
			if r.refused {
				t.Fatal("refused as a document")
			}
			o := outcomesOf(r.verdict)[question{test.rule, test.subject}]
			if o.Outcome != verdict.Nonconforming || !strings.Contains(o.Statement, test.says) {
				t.Errorf("%s %s is %q %q, want it nonconforming and to name %q%s", test.rule, test.subject, o.Outcome, o.Statement, test.says, findings(r.verdict))
			}
			if r.verdict.Acceptance.Value != verdict.Rejected {
				t.Errorf("the visit is %s, want it rejected", r.verdict.Acceptance.Value)
			}
			if r.verdict.Serviceability == verdict.Serviceable && test.path[0] != "ended" {
				t.Errorf("the machine is %s", r.verdict.Serviceability)
			}
		})
	}

	// What lost its name is missed under it.
	r, err := b.one(t.Context(), base, spot{path: []any{"battery", "cells", 2, "cell"}}.set(base.doc, "", "B1.9"))
	if err != nil {
		t.Fatal(err)
	}
	o := outcomesOf(r.verdict)[question{"condition.battery.full_charge_gravity", "cell B1.3"}]
	if o.Outcome != verdict.Indeterminate || o.Because != verdict.Evidence {
		t.Errorf("cell B1.3, written as B1.9, is %s %s, want it missed", o.Outcome, o.Because)
	}
}
