package plan_test

import (
	"testing"

	"github.com/visitgauge/visitgauge/engine/plan"
)

const resting = `package r

base := input.a

helper(x) := x + base

top contains helper(1)

through := count(top)

keyed["x"] := base

keyed["y"] := input.b

aside := input.b

none if base == 3
`

// TestAnswersAreTaken puts one input before the plan and then another, as if something had
// changed in base: what rests on it is that of the second input, all else that of the
// first.
func TestAnswersAreTaken(t *testing.T) {
	names := []string{"r.base", "r.top", "r.through", "r.keyed", "r.aside", "r.none"}
	p, err := plan.New(t.Context(), made(t, map[string]string{"r.rego": resting}), limits, names)
	if err != nil {
		t.Fatal(err)
	}
	first := p.Over(t.Context(), valueOf(t, `{"a": 1, "b": 10}`))
	for _, name := range names {
		if _, err := first.Ask(name); err != nil {
			t.Fatal(err)
		}
	}
	answers := first.Answers()
	first.Close()
	for _, c := range []struct {
		changed string
		want    map[string]string
	}{
		{"r.base", map[string]string{"r.base": "3", "r.top": "{4}", "r.through": "1", "r.keyed": `{"x": 3, "y": 10}`, "r.aside": "10", "r.none": "true"}},
		{"r.helper", map[string]string{"r.base": "1", "r.top": "{2}", "r.keyed": `{"x": 1, "y": 10}`, "r.aside": "10", "r.none": ""}},
		{"r.keyed", map[string]string{"r.base": "1", "r.top": "{2}", "r.keyed": `{"x": 1, "y": 30}`, "r.aside": "10", "r.none": ""}},
		{"r.aside", map[string]string{"r.base": "1", "r.keyed": `{"x": 1, "y": 10}`, "r.aside": "30"}},
		{"r.ba", map[string]string{"r.base": "1", "r.aside": "10"}}, // which is no document
	} {
		run := p.Over(t.Context(), valueOf(t, `{"a": 3, "b": 30}`))
		run.Take(answers, p.Resting(c.changed))
		for name, want := range c.want {
			got, err := run.Ask(name)
			if err != nil {
				t.Fatal(err)
			}
			text := ""
			if got != nil {
				text = got.String()
			}
			if text != want {
				t.Errorf("%s changed: %s is %q, want %q", c.changed, name, text, want)
			}
		}
		run.Close()
	}
	run := p.Over(t.Context(), valueOf(t, `{"a": 3, "b": 30}`))
	defer run.Close()
	if got, err := run.Ask("r.aside"); err != nil || got.String() != "30" {
		t.Errorf("answers that were taken are still there in the next run: %v, %v", got, err)
	}
}
