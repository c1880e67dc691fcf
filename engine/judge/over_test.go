package judge

import (
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// TestOverIsTheWhole takes from a verdict what one rule after the other said, asks
// that rule alone, and comes to the same bytes.
func TestOverIsTheWhole(t *testing.T) {
	set := testSet(t)
	j := newJudge(t)
	for _, note := range []string{allGood, "cell B1.1 = very bad; cell B1.2 = close; cell B1.10 = not possible"} {
		c := Case{Record: testRecord(t, note, edits{"/kind": "service"})}
		whole, err := j.Judge(t.Context(), c)
		if err != nil {
			t.Fatal(err)
		}
		want, err := verdict.Encode(whole)
		if err != nil {
			t.Fatal(err)
		}
		for _, rule := range set.Rules() {
			var known []verdict.Outcome
			for _, o := range whole.Outcomes {
				if o.Rule != rule.Name {
					o.ConcededBy = "C-1" // is not taken over
					known = append(known, o)
				}
			}
			over, err := NewOver(t.Context(), set, []string{rule.Name})
			if err != nil {
				t.Fatal(err)
			}
			v, err := over.Judge(t.Context(), c, known)
			if err != nil {
				t.Fatal(err)
			}
			got, err := verdict.Encode(v)
			if err != nil {
				t.Fatal(err)
			}
			if string(got) != string(want) {
				t.Errorf("%s asked alone: another verdict\n%s\nwant\n%s", rule.Name, got, want)
			}
			if _, err := over.Judge(t.Context(), c, whole.Outcomes); err == nil || !strings.Contains(err.Error(), rule.Name) {
				t.Errorf("%s is asked and known: %v", rule.Name, err)
			}
		}
	}
	if _, err := NewOver(t.Context(), set, []string{"no.such.rule"}); err == nil {
		t.Error("a rule that is not there was taken")
	}
}
