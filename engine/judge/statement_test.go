package judge

import (
	"testing"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

func TestFill(t *testing.T) {
	facts := []verdict.Fact{
		{Name: "reading", Text: "1.250"},
		{Name: "torque", Text: "85 in·lbf"}, {Name: "torque", Text: "95 in·lbf"},
		{Name: "subject", Text: "must not take the place of the subject"},
		{Name: "least_kind", Text: "calibrated"},
		{Name: "cells", Text: "cell B1.1"}, {Name: "cells", Text: "cell B1.2"}, {Name: "cells", Text: "cell B1.1"}, {Name: "cells", Text: "cell B1.3"},
		{Name: "order", Text: "before step brake"}, {Name: "order", Text: "before step horn"},
		{Name: "mixed", Text: "cell B1.1"}, {Name: "mixed", Text: "post B1+"},
		{Name: "groups", Text: "the battery"}, {Name: "groups", Text: "cell B1.1"}, {Name: "groups", Text: "post B1+"}, {Name: "groups", Text: "cell B1.2"}, {Name: "groups", Text: "cell B1.3"},
		{Name: "kept", Text: "type a"}, {Name: "kept", Text: "type b"}, {Name: "gap", Text: NotRecorded},
		{Name: "notes", Text: "late, and hot"}, {Name: "notes", Text: "cold"}, {Name: "notes", Text: "wet"},
	}
	tests := []struct{ text, want string }{
		{"{subject} reads {reading}.", "Cell B1.2 reads 1.250."},
		{"At {reading}, {subject} is low. {subject} must be charged.", "At 1.250, cell B1.2 is low. Cell B1.2 must be charged."},
		{"Is it {subject}? {subject} it is!  {subject}.", "Is it cell B1.2? Cell B1.2 it is!  Cell B1.2."},
		{"{subject} was {torque}.", "Cell B1.2 was 85 in·lbf and 95 in·lbf."},
		{"Look at {cells}.", "Look at cells B1.1, B1.2 and B1.3."},
		{"It was {notes}.", "It was late, and hot; cold; and wet."},
		{"It came {order}.", "It came before steps brake and horn."},
		{"{mixed} are needed.", "Cell B1.1 and post B1+ are needed."},
		{"Left are {groups}.", "Left are the battery; cells B1.1, B1.2 and B1.3; and post B1+."},
		{"{kept} are kept.", "Type a and type b are kept."},
		{"Limit {limit}.", "Limit (not recorded)."},
		{"{subject} reads {reading}[, at {limit}]; [{torque} is told.]", "Cell B1.2 reads 1.250; 85 in·lbf and 95 in·lbf is told."},
		{"It reads {reading}[ at {gap}].", "It reads 1.250."},
		{"Needs {least_kind}: {}, {a b} and { stay.", "Needs calibrated: {}, {a b} and { stay."},
		{"", ""},
	}
	for _, test := range tests {
		if got := fill(test.text, "cell B1.2", facts); got != test.want {
			t.Errorf("%q: got %q, want %q", test.text, got, test.want)
		}
	}
}

func TestTemplate(t *testing.T) {
	some := ruleset.Rule{Says: "says", Needs: "needs"}
	all := ruleset.Rule{Says: "says", Needs: "needs", NeedsLimit: "limit", NeedsState: "state"}
	tests := []struct {
		rule    ruleset.Rule
		value   verdict.Value
		because verdict.Because
		want    string
	}{
		{all, verdict.Nonconforming, "", "says"},
		{all, verdict.Indeterminate, verdict.Evidence, "needs"},
		{all, verdict.Indeterminate, verdict.Limit, "limit"},
		{all, verdict.Indeterminate, verdict.State, "state"},
		{some, verdict.Indeterminate, verdict.Limit, "needs"},
		{some, verdict.Indeterminate, verdict.State, "needs"},
	}
	for _, test := range tests {
		if got := Template(test.rule, verdict.Outcome{Outcome: test.value, Because: test.because}); got != test.want {
			t.Errorf("%s %s: got %q, want %q", test.value, test.because, got, test.want)
		}
	}
}

func TestPointerOf(t *testing.T) {
	tests := []struct {
		name  string
		facts []verdict.Fact
		want  string
	}{
		{"none", []verdict.Fact{{Name: "a", Text: "x"}}, ""},
		{"first by name", []verdict.Fact{{Name: "a", Pointer: "/a"}, {Name: "b", Pointer: "/b"}}, "/a"},
		{"reading before others", []verdict.Fact{{Name: "a", Pointer: "/a"}, {Name: "reading", Pointer: "/r"}}, "/r"},
		{"at before reading", []verdict.Fact{{Name: "at", Pointer: "/at"}, {Name: "reading", Pointer: "/r"}}, "/at"},
		{"not in an earlier visit", []verdict.Fact{{Name: "at", Pointer: "/x", Earlier: "battery"}, {Name: "z", Pointer: "/z"}}, "/z"},
	}
	for _, test := range tests {
		if got := pointerOf(test.facts); got != test.want {
			t.Errorf("%s: got %q, want %q", test.name, got, test.want)
		}
	}
}
