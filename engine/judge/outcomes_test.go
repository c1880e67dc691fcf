package judge

import (
	"reflect"
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// TestAgain asks rules by a plan, plainly, with what is worked out kept, and again with
// that taken over.
func TestAgain(t *testing.T) {
	set := testSet(t)
	c, err := Prepare(fullCase(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, rule := range set.Rules() {
		of, err := NewOutcomes(t.Context(), set, rule.Name)
		if err != nil {
			t.Fatal(err)
		}
		p, err := NewPlanned(t.Context(), set, []string{rule.Name})
		if err != nil {
			t.Fatal(err)
		}
		want, err := of.Of(t.Context(), c, nil)
		if err != nil {
			t.Fatal(err)
		}
		plain, err := of.By(t.Context(), p, c)
		if err != nil {
			t.Fatal(err)
		}
		working, worked, err := of.ByWorking(t.Context(), p, c)
		if err != nil {
			t.Fatal(err)
		}
		again, err := of.ByAgain(t.Context(), p, c, worked, p.Resting(rule.Name))
		if err != nil {
			t.Fatal(err)
		}
		for name, got := range map[string][]verdict.Outcome{"by a plan": plain, "keeping": working, "again": again} {
			if !reflect.DeepEqual(got, want) {
				t.Errorf("%s %s: %v, want %v", rule.Name, name, got, want)
			}
		}
		if len(want) == 0 {
			t.Errorf("%s has no outcome", rule.Name)
		}
	}
}
