package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/open-policy-agent/opa/v1/rego"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// stock asks a release for the sets of every rule, with the policy library and
// the release's files alone.
type stock struct {
	query rego.PreparedEvalQuery
	text  string
	parts []string // dotted, below data, in the order of the query's variables
}

// setParts are the parts of a rule that answers come from.
var setParts = []string{
	ruleset.Subjects, ruleset.Spared, ruleset.Conforming, ruleset.Nonconforming, ruleset.TooClose, ruleset.NotPossible,
}

// newStock prepares the query for the rules of a set, over a release's folder.
func newStock(t testing.TB, folder string, set *ruleset.Set) *stock {
	t.Helper()
	s := &stock{}
	var body []string
	for _, rule := range set.Rules() {
		for _, part := range setParts {
			if rule.Defines(part) {
				body = append(body, fmt.Sprintf("x%d = data.%s.%s", len(s.parts), rule.Name, part))
				s.parts = append(s.parts, rule.Name+"."+part)
			}
		}
	}
	s.text = strings.Join(body, "; ")
	var err error
	s.query, err = rego.New(rego.Load([]string{folder}, nil), rego.Query(s.text), rego.StrictBuiltinErrors(true)).PrepareForEval(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// ask gives the sets by name, for an input document.
func (s *stock) ask(t testing.TB, input any) map[string][]string {
	t.Helper()
	results, err := s.query.Eval(context.Background(), rego.EvalInput(input))
	if err != nil || len(results) != 1 {
		t.Fatalf("%d answers: %v", len(results), err)
	}
	out := map[string][]string{}
	for i, part := range s.parts {
		list, _ := results[0].Bindings[fmt.Sprintf("x%d", i)].([]any)
		for _, v := range list {
			out[part] = append(out[part], v.(string))
		}
	}
	return out
}

// sameOutcomes demands that a verdict says what the sets say.
func sameOutcomes(t testing.TB, v *verdict.Verdict, sets map[string][]string) {
	t.Helper()
	expected := map[string]int{}
	rules := map[string]bool{}
	for part := range sets {
		rules[part[:strings.LastIndexByte(part, '.')]] = true
	}
	for rule := range rules {
		expected[rule] = max(len(sets[rule+"."+ruleset.Subjects]), 1)
	}
	for _, o := range v.Outcomes {
		expected[o.Rule]--
		in := func(part string) bool { return slices.Contains(sets[o.Rule+"."+part], o.Subject) }
		ok := false
		switch {
		case o.Outcome == verdict.Conforming:
			ok = in(ruleset.Conforming)
		case o.Outcome == verdict.Nonconforming:
			ok = in(ruleset.Nonconforming)
		case o.Outcome == verdict.NotApplicable:
			ok = len(sets[o.Rule+"."+ruleset.Spared]) > 0
		case o.Because == verdict.Limit:
			ok = in(ruleset.TooClose)
		case o.Because == verdict.State:
			ok = in(ruleset.NotPossible)
		default:
			ok = !in(ruleset.Conforming) && !in(ruleset.Nonconforming) && !in(ruleset.TooClose) && !in(ruleset.NotPossible)
		}
		if !ok {
			t.Fatalf("%s, %s: we say %s, the sets do not", o.Rule, o.Subject, o.Outcome)
		}
	}
	for rule, n := range expected {
		if n > 0 {
			t.Fatalf("%s: %d outcomes are missing", rule, n)
		}
	}
}

// benchCase is one base visit in the forms that both sides start from: a decoded
// record, and a decoded document.
type benchCase struct {
	ours  judge.Case
	input any
}

func benchCases(t testing.TB) []benchCase {
	t.Helper()
	decoder := newDecoder(t)
	var out []benchCase
	for _, data := range baseVisits(t) {
		rec, err := decoder.Decode("bench", 1, data)
		if err != nil {
			t.Fatal(err)
		}
		c := benchCase{ours: judge.Case{Record: rec}}
		doc, err := judge.Input(c.ours)
		if err != nil {
			t.Fatal(err)
		}
		dec := json.NewDecoder(bytes.NewReader(doc))
		dec.UseNumber()
		if err := dec.Decode(&c.input); err != nil {
			t.Fatal(err)
		}
		out = append(out, c)
	}
	return out
}

// arm is one way to judge the visits that are compared.
type arm struct {
	name  string
	judge func(benchCase)
	used  [][]time.Duration // by case
}

// perVisit is the mean over the cases of their medians: one collection of garbage
// or one disturbance more does not show.
func (a *arm) perVisit() time.Duration {
	var sum time.Duration
	for _, list := range a.used {
		sum += median(list)
	}
	return sum / time.Duration(len(a.used))
}

// warm is how many visits of each case are judged before any is measured; with the
// fewest cases that is more than a judge wants to see before it plans the rules.
const warm = 5

// BenchmarkAgainstStock judges visits by a stock query for the sets of every rule,
// by our verdicts with the release's own Rego in OPA's evaluator, and by those with
// native helpers and the rules planned, in turn, so that all meet the same load of the machine. Before, it demands that
// all three say the same.
func BenchmarkAgainstStock(b *testing.B) {
	ctx := context.Background()
	var stocks *stock
	arms := make([]*arm, 3)
	judges := make([]*judge.Judge, 2)
	for i, native := range []bool{false, true} {
		set, err := ruleset.Load(ctx, releaseFolder(b), ruleset.Options{Native: native})
		if err != nil {
			b.Fatal(err)
		}
		if judges[i], err = judge.New(ctx, set); err != nil {
			b.Fatal(err)
		}
		if stocks == nil {
			stocks = newStock(b, filepath.Join(released(b), benchRelease), set)
		}
		arms[1+i] = &arm{name: []string{"rego", "native"}[i], judge: func(c benchCase) {
			if _, err := judges[i].Judge(ctx, c.ours); err != nil {
				b.Fatal(err)
			}
		}}
	}
	arms[0] = &arm{name: "stock", judge: func(c benchCase) { stocks.ask(b, c.input) }}
	cases := benchCases(b)
	for _, c := range cases {
		sets := stocks.ask(b, c.input)
		for _, j := range judges {
			for range warm {
				v, err := j.Judge(ctx, c.ours)
				if err != nil {
					b.Fatal(err)
				}
				sameOutcomes(b, v, sets)
			}
		}
	}
	for _, a := range arms {
		a.used = make([][]time.Duration, len(cases))
	}
	n := 0
	for b.Loop() {
		for at, c := range cases {
			for i := range arms {
				a := arms[(n+i)%len(arms)]
				began := cpuTime(b)
				a.judge(c)
				a.used[at] = append(a.used[at], cpuTime(b)-began)
			}
			n++
		}
	}
	for _, a := range arms {
		b.ReportMetric(perVisit(a.perVisit(), 1), a.name+"-cpu-ms")
		if a != arms[0] {
			b.ReportMetric(float64(arms[0].perVisit())/float64(a.perVisit()), "stock/"+a.name)
		}
	}
}
