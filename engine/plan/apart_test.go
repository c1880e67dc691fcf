package plan_test

import (
	"testing"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/plan"
)

// A plan made without data answers as one made with them, and by others as soon as
// others are given. Without any it has no answer.
func TestPlanWithDataApart(t *testing.T) {
	options := made(t, nil)
	p, err := plan.New(t.Context(), options, nil, paths(documents))
	if err != nil {
		t.Fatal(err)
	}
	data, err := ast.InterfaceToValue(limits)
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, text := range inputs {
		in := valueOf(t, text)
		for _, name := range documents {
			want, wrong := evaluated(t, options, "p."+name, in)
			run := p.OverData(t.Context(), in, data)
			got, err := run.Ask("p." + name)
			run.Close()
			if (err == nil) != (wrong == nil) || (got == nil) != (want == nil) || got != nil && got.Compare(want) != 0 {
				t.Errorf("%s of %s: %v (%v), the evaluator has %v (%v)", name, text, got, err, want, wrong)
			}
			compared++
		}
	}
	if compared == 0 {
		t.Error("nothing was compared")
	}
	in := valueOf(t, `{"which": "one"}`)
	for _, min := range []string{"1.50", "7"} {
		run := p.OverData(t.Context(), in, valueOf(t, `{"limits": {"one": {"min": `+min+`}}}`))
		for _, name := range []string{"p.bound", "p.own"} {
			if got, err := run.Ask(name); err != nil || got == nil || got.String() != min {
				t.Errorf("%s is %v (%v), want %s", name, got, err, min)
			}
		}
		run.Close()
	}
	run := p.Over(t.Context(), in)
	defer run.Close()
	if got, err := run.Ask("p.own"); err == nil {
		t.Errorf("without data the plan has %v", got)
	}
}
