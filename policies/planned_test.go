package policies_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/plan"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// TestPlanned asks for every set, every fact and every text that the demo's visits make
// the rules give, once by OPA's evaluator and once by the plan of the rules: the two
// must be equal, value by value. A release that could not be planned would be judged as
// before, only slower, so that it can be is demanded here.
func TestPlanned(t *testing.T) {
	b := newBench(t)
	set := b.set
	if !set.Native() {
		t.Fatal("the release was loaded without native helpers, so nothing is planned")
	}
	var documents []string
	for _, rule := range set.Rules() {
		for _, part := range []string{
			ruleset.Subjects, ruleset.Spared, ruleset.Conforming, ruleset.Nonconforming,
			ruleset.TooClose, ruleset.NotPossible, ruleset.Severity, ruleset.Facts,
		} {
			if rule.Defines(part) {
				documents = append(documents, rule.Name+"."+part)
			}
		}
	}
	for _, part := range []string{"class", "cells", "weakest", "posts", "voltages", "rest", "meters", "steps", "readings"} {
		documents = append(documents, "shared.sheet."+part)
	}
	p, err := plan.New(t.Context(), set.Rego(), set.Data(), documents)
	if err != nil {
		t.Fatal(err)
	}
	var body ast.Body
	for _, name := range documents {
		body.Append(ast.Equality.Expr(ast.VarTerm(answerTo(name)), ast.NewTerm(ast.MustParseRef("data."+name))))
	}
	keep := func(term *ast.Term, _ *rego.EvalContext) (any, error) { return term.Value, nil }
	all, err := rego.New(append(set.Rego(), rego.ParsedQuery(body), rego.GenerateJSON(keep))...).PrepareForEval(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, visit := range demo(t) {
		input, err := judge.Input(judge.Case{Record: visit.record, Earlier: visit.earlier})
		if err != nil {
			t.Fatal(err)
		}
		in, err := ast.ValueFromReader(bytes.NewReader(input))
		if err != nil {
			t.Fatal(err)
		}
		results, err := all.Eval(t.Context(), rego.EvalParsedInput(in))
		if err != nil || len(results) != 1 {
			t.Fatalf("%s: %d answers (%v)", visit.name, len(results), err)
		}
		run := p.Over(t.Context(), in)
		for _, name := range documents {
			want := results[0].Bindings[answerTo(name)].(ast.Value)
			got, err := run.Ask(name)
			if err != nil {
				t.Fatalf("%s: %v", visit.name, err)
			}
			if got == nil || got.Compare(want) != 0 {
				t.Errorf("%s, %s: the plan has %v, the evaluator %v", visit.name, name, got, want)
			}
			compared++
		}
		run.Close()
	}
	if compared < 10_000 {
		t.Errorf("only %d documents were compared", compared)
	}
	t.Logf("%d documents of %d visits, equal", compared, len(demo(t)))
}

// answerTo is the variable of a query that holds a document.
func answerTo(name string) string { return "of_" + strings.ReplaceAll(name, ".", "_") }
