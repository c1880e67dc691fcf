package workshop

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/mutation"
	"github.com/visitgauge/visitgauge/engine/ruletest"
)

func TestTrial(t *testing.T) {
	hole := mutation.Change{Kind: mutation.Comparison, File: "condition/a/b.rego", Line: 7, Rule: "condition.a.b.conforming", Text: strings.Repeat("x", 200) + " <= y", What: "<= turned into <"}
	result := &ruletest.Result{
		Rules:    []ruletest.Rule{{Name: "condition.a.b", Examples: 3, Conforming: 4, Nonconforming: 2, Indeterminate: 1, Lines: 9, Reached: 8}},
		Problems: []ruletest.Problem{{File: "condition/a/b.rego", Line: 9, Message: "no example reaches z"}},
		Whole:    true,
		Mutation: &mutation.Result{
			Counts:   []mutation.Count{{Kind: mutation.Comparison, Tried: 5, Noticed: 2, Listed: 1, Holes: 1, Elsewhere: 1}},
			Holes:    []mutation.Hole{{Change: hole, Ran: []string{"condition.a.b"}, Examples: 1}, {Change: hole}},
			Unneeded: []mutation.Unneeded{{File: "examples/unnoticed.yaml", Line: 4, Rule: "condition.a.c", Text: "z > 0", What: "> turned into >="}},
		},
	}
	trial := NewTrial("1.2.3", "h1:x", result)
	data, err := Render(Text, trial, trial.Page)
	if err != nil {
		t.Fatal(err)
	}
	flat := strings.Join(strings.Fields(string(data)), " ")
	for _, want := range []string{
		"3 4 2 1 0 8/9 condition.a.b",
		"condition/a/b.rego:9: no example reaches z",
		"condition/a/b.rego:7: condition.a.b.conforming: x",
		"… <= turned into <. Run: 1 example of condition.a.b.",
		"No example comes to where it would make a difference.",
		"examples/unnoticed.yaml:4: condition.a.c: z > 0 > turned into >=; remove the entry",
		"5 2 1 1 a comparison, turned",
		"1 change was not noticed here",
		"1 rule; 3 examples; 0 tests; 1 problem; 5 changes, of which 2 noticed, 1 listed, 2 holes",
	} {
		if !strings.Contains(flat, want) {
			t.Errorf("%q is missing in\n%s", want, data)
		}
	}
	data, err = Render(JSON, trial, trial.Page)
	if err != nil {
		t.Fatal(err)
	}
	var back struct {
		Release  string
		Rules    []ruletest.Rule
		Mutation mutation.Result
	}
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	if back.Release != "1.2.3" || len(back.Rules) != 1 || back.Rules[0] != result.Rules[0] || len(back.Mutation.Holes) != 2 || back.Mutation.Holes[0].What != "<= turned into <" {
		t.Errorf("got %+v", back)
	}
}

func TestTrialSaysWhyNothingWasTried(t *testing.T) {
	for why, want := range map[string]string{"they fail": "no changes tried: they fail", "": "no changes tried"} {
		trial := NewTrial("1.2.3", "h1:x", &ruletest.Result{NotTried: why})
		data, err := Render(Text, trial, trial.Page)
		if err != nil || !strings.HasSuffix(strings.TrimSpace(string(data)), want) {
			t.Errorf("%q, %v does not end with %q", data, err, want)
		}
	}
}
