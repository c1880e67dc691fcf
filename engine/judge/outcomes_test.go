package judge

import (
	"reflect"
	"testing"

	"github.com/visitgauge/visitgauge/engine/plan"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// TestAgain asks rules by a plan: plainly, with what is worked out kept, and again about
// another case as if that were the first with something changed. Where all rests on the
// change, the outcomes are those of the other case; where nothing does, those of the first.
func TestAgain(t *testing.T) {
	set := testSet(t)
	prepared := func(c Case) Prepared {
		in, err := Prepare(c)
		if err != nil {
			t.Fatal(err)
		}
		return in
	}
	first := prepared(fullCase(t))
	other := prepared(Case{Record: testRecord(t, allGood, nil)})
	differ := 0
	for _, rule := range set.Rules() {
		of, err := NewOutcomes(t.Context(), set, rule.Name)
		if err != nil {
			t.Fatal(err)
		}
		p, err := NewPlanned(t.Context(), set, []string{rule.Name})
		if err != nil {
			t.Fatal(err)
		}
		outcomes := func(got []verdict.Outcome, err error) []verdict.Outcome {
			t.Helper()
			if err != nil {
				t.Fatal(err)
			}
			return got
		}
		ofFirst, ofOther := outcomes(of.Of(t.Context(), first)), outcomes(of.Of(t.Context(), other))
		if !reflect.DeepEqual(ofFirst, ofOther) {
			differ++
		}
		if got := outcomes(of.By(t.Context(), p, first)); !reflect.DeepEqual(got, ofFirst) {
			t.Errorf("%s by a plan: %v, want %v", rule.Name, got, ofFirst)
		}
		got, answers, err := of.ByWorking(t.Context(), p, first)
		if got = outcomes(got, err); !reflect.DeepEqual(got, ofFirst) {
			t.Errorf("%s by a plan that keeps: %v, want %v", rule.Name, got, ofFirst)
		}
		nothing := p.Resting("no.such.rule")
		if got := outcomes(of.ByAgain(t.Context(), p, other, answers, nothing)); !reflect.DeepEqual(got, ofFirst) {
			t.Errorf("%s with all taken over: %v, want %v", rule.Name, got, ofFirst)
		}
		all := make(plan.Resting, len(nothing))
		for i := range all {
			all[i] = true
		}
		if got := outcomes(of.ByAgain(t.Context(), p, other, answers, all)); !reflect.DeepEqual(got, ofOther) {
			t.Errorf("%s with nothing taken over: %v, want %v", rule.Name, got, ofOther)
		}
	}
	if differ == 0 {
		t.Error("the two cases have the same outcomes")
	}
}
