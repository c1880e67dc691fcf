package policies_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/plan"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

// twins are the two ways to evaluate a release: by OPA's evaluator, which is what is
// right, and by the plan of the rules.
type twins struct {
	plan      *plan.Plan
	documents []string
	evaluator rego.PreparedEvalQuery // for all documents
	set       *ruleset.Set
	compared  int
	failed    int // inputs that make the evaluator fail
	stricter  int // inputs that make the plan alone fail
}

// documentsOfRule are all documents that a rule can be asked for.
func documentsOfRule(rule ruleset.Rule) []string {
	var out []string
	for _, part := range []string{
		ruleset.Subjects, ruleset.Spared, ruleset.Conforming, ruleset.Nonconforming,
		ruleset.TooClose, ruleset.NotPossible, ruleset.Severity, ruleset.Facts,
	} {
		if rule.Defines(part) {
			out = append(out, rule.Name+"."+part)
		}
	}
	return out
}

// newTwins plans a release, which must be possible: one that could not be planned would
// be judged as before, only slower, and nobody would notice.
func newTwins(t *testing.T, set *ruleset.Set) *twins {
	t.Helper()
	if !set.Native() {
		t.Fatal("the release was loaded without native helpers, so nothing is planned")
	}
	x := &twins{set: set, documents: []string{"shared.followup.followed_up", "shared.visit.completion", "shared.visit.cause"}}
	for _, rule := range set.Rules() {
		x.documents = append(x.documents, documentsOfRule(rule)...)
	}
	for _, part := range []string{"class", "cells", "weakest", "posts", "voltages", "rest", "meters", "steps", "readings"} {
		x.documents = append(x.documents, "shared.sheet."+part)
	}
	var err error
	if x.plan, err = plan.New(t.Context(), set.RegoToPlan(), set.Data(), x.documents); err != nil {
		t.Fatal(err)
	}
	x.evaluator = x.prepare(t, x.documents)
	return x
}

func (x *twins) prepare(t *testing.T, documents []string) rego.PreparedEvalQuery {
	t.Helper()
	var body ast.Body
	for _, name := range documents {
		body.Append(ast.Equality.Expr(ast.VarTerm(answerTo(name)), ast.NewTerm(ast.MustParseRef("data."+name))))
	}
	keep := func(term *ast.Term, _ *rego.EvalContext) (any, error) { return term.Value, nil }
	q, err := rego.New(append(x.set.Rego(), rego.ParsedQuery(body), rego.GenerateJSON(keep))...).PrepareForEval(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// answerTo is the variable of a query that holds a document.
func answerTo(name string) string { return "of_" + strings.ReplaceAll(name, ".", "_") }

// compare asks both for documents of an input and demands that they are equal, value by
// value, that a document has none in both if it has none in one, and that the plan
// fails where the evaluator fails. That it also fails elsewhere would be no harm, for
// the evaluator is then asked; it is counted.
func (x *twins) compare(t *testing.T, name string, evaluator rego.PreparedEvalQuery, documents []string, in ast.Value) {
	t.Helper()
	run := x.plan.Over(t.Context(), in)
	defer run.Close()
	got := map[string]ast.Value{}
	var fault error
	none := ""
	for _, document := range documents {
		v, err := run.Ask(document)
		if fault = errors.Join(fault, err); v == nil && err == nil {
			none = document
		}
		got[document] = v
	}
	results, err := evaluator.Eval(t.Context(), rego.EvalParsedInput(in))
	switch {
	case err != nil:
		if x.failed++; fault == nil {
			t.Errorf("%s: the plan answers, the evaluator fails: %v", name, err)
		}
		return
	case fault != nil:
		x.stricter++
		return
	case len(results) == 0:
		if none == "" {
			t.Errorf("%s: the plan has all documents, the evaluator has not", name)
		}
		return
	}
	for _, document := range documents {
		want := results[0].Bindings[answerTo(document)].(ast.Value)
		if v := got[document]; v == nil || v.Compare(want) != 0 {
			t.Errorf("%s, %s: the plan has %v, the evaluator %v", name, document, v, want)
		}
		x.compared++
	}
}

// told says what was compared, and demands that it was enough to mean something.
func (x *twins) told(t *testing.T, inputs, least int) {
	t.Helper()
	if x.compared < least {
		t.Errorf("only %d documents were compared", x.compared)
	}
	t.Logf("%d documents of %d inputs equal; %d inputs fail in both, %d in the plan alone", x.compared, inputs, x.failed, x.stricter)
}

// TestPlanned asks for every set, every fact and every text that the demo's visits make
// the rules give.
func TestPlanned(t *testing.T) {
	x := newTwins(t, newBench(t).set)
	for _, visit := range demo(t) {
		input, err := judge.Input(judge.Case{Record: visit.record, Earlier: visit.earlier})
		if err != nil {
			t.Fatal(err)
		}
		in, err := ast.ValueFromReader(bytes.NewReader(input))
		if err != nil {
			t.Fatal(err)
		}
		x.compare(t, visit.name, x.evaluator, x.documents, in)
	}
	if x.failed+x.stricter > 0 {
		t.Errorf("%d visits of the demo cannot be evaluated, %d not by a plan", x.failed, x.stricter)
	}
	x.told(t, len(demo(t)), 10_000)
}

// TestPlannedExamples puts examples of every release to the rule they are made for: all
// with -every, else one in ten.
func TestPlannedExamples(t *testing.T) {
	visits, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	for _, version := range releaseFolders(t) {
		release := os.DirFS(version)
		set, err := ruleset.Load(t.Context(), release, ruleset.Options{Version: version, Native: true})
		if err != nil {
			t.Fatal(err)
		}
		x := newTwins(t, set)
		runner, err := examples.New(release, set, record.NewDecoder(visits, record.Limits{}))
		if err != nil {
			t.Fatal(err)
		}
		inputs, at := 0, 0
		for _, rule := range set.Rules() {
			if at++; !*every && at%10 != 1 {
				continue
			}
			documents := documentsOfRule(rule)
			evaluator := x.prepare(t, documents)
			questions, err := runner.Questions(t.Context(), rule.Name)
			if err != nil {
				t.Fatal(err)
			}
			for _, q := range questions {
				inputs++
				x.compare(t, version+", "+rule.Name+", "+q.Name, evaluator, documents, q.In.Input())
			}
		}
		if x.failed+x.stricter > 0 {
			t.Errorf("%s: %d examples cannot be evaluated, %d not by a plan", version, x.failed, x.stricter)
		}
		x.told(t, inputs, 500)
	}
}

// TestPlannedAltered asks for every document of records that were altered in several
// places at random, from a fixed seed, many so that no decoder would let them through:
// the rules then meet gaps and kinds of values that nobody thought of. Of every release,
// 2,000 records with -every, else 60.
func TestPlannedAltered(t *testing.T) {
	b := newBench(t)
	trials := b.spotless(t)
	for _, v := range demo(t) {
		trials = append(trials, v.trial)
	}
	words := vocabulary(t)
	inputs := 60
	if *every {
		inputs = 2000
	}
	if raceDetector {
		inputs = 5
	}
	for _, version := range releaseFolders(t) {
		set, err := ruleset.Load(t.Context(), os.DirFS(version), ruleset.Options{Version: version, Native: true})
		if err != nil {
			t.Fatal(err)
		}
		x := newTwins(t, set)
		random := rand.New(rand.NewPCG(2026, 11))
		refused := 0
		for i := range inputs {
			like := trials[random.IntN(len(trials))]
			doc := like.doc
			for range 1 + random.IntN(12) {
				doc = altered(random, doc, words)
			}
			if i%4 == 0 {
				// A value of a kind that no rule expects.
				all := spots(doc)
				odd := []any{nil, true, "odd", json.Number("0.5"), json.Number("-12"), []any{}, []any{"odd"}, map[string]any{}, map[string]any{"value": "odd"}}
				doc = all[random.IntN(len(all))].set(doc, "", odd[random.IntN(len(odd))]).doc
			}
			if b.visits.Validate(doc) != nil {
				refused++
			}
			in, err := ast.InterfaceToValue(map[string]any{"visit": doc, "earlier": like.earlier.Value(), "received": []any{}})
			if err != nil {
				t.Fatal(err)
			}
			x.compare(t, version+", "+like.name+", altered, record "+strconv.Itoa(i), x.evaluator, x.documents, in)
		}
		t.Logf("%s: %d of %d records would be refused by the decoder", version, refused, inputs)
		x.told(t, inputs, 500*inputs/2)
	}
}
