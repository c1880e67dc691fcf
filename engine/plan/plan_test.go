package plan_test

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"
	"github.com/open-policy-agent/opa/v1/storage/inmem"

	"github.com/visitgauge/visitgauge/engine/plan"
)

// rules use what rules of a release may use of the language. OPA's own evaluator says
// what each answers.
const rules = `package p

limits := data.limits

complete := 1 if input.a == 1

complete := 2 if input.a == 2

fallback := "one" if input.a == 1

else := "two" if input.a == 2

else := "more" if input.a > 2

default preset := "none"

preset := "some" if input.a

members contains x if some x in input.list

members contains concat(" ", ["k", k]) if some k, _ in input.object

keyed[k] := v if some k, v in input.object

grouped[g.of] contains g.name if some g in input.groups

deep[g.of][g.name] := g.n if some g in input.groups

deeper[g.of][g.name] contains g.n if some g in input.groups

one[g.name] := g.n if {
	some g in input.groups
	g.of == "a"
}

one["fixed"] := count(input.list)

fixed["x"] contains "a" if input.a

fixed["y"] contains x if some x in input.list

none_missing if {
	every x in input.list {
		x in {"a", "b", 1, 1.0, 2}
	}
}

every_key if {
	every k, v in input.object {
		startswith(k, "k")
		v != 3
	}
}

absent contains x if {
	some x in ["a", "b", "zz"]
	not x in input.list
}

lacks contains g.name if {
	some g in input.groups
	not g.n
}

lists := [x | some x in input.list; x != "b"]

sets := {g.name | some g in input.groups} - {"second"}

objects := {g.name: g.n | some g in input.groups}

nested := [[x, y] | some x in input.list; y := {g.name | some g in input.groups; g.of == x}]

literal := {"a": [1, 2, {"b": set()}], "c": {1, 2, 3}, "d": null, "e": [true, false, 1.50]}

partly contains {"n": g.n, "set": {"k", g.name}, "list": [g.n, 0]} if some g in input.groups

double(x) := x * 2 if x < 10

double(x) := 0 if x >= 10

pair([a, b]) := a if b == "b"

pair([a, b]) := b if a == "b"

named({"name": n, "of": "a"}) := n

sized(x) if count(x) > 1

doubled contains double(x) if {
	some x in input.list
	is_number(x)
}

paired contains x if {
	some a in input.list
	some b in input.list
	x := pair([a, b])
}

called contains n if {
	some g in input.groups
	n := named({"name": g.name, "of": g.of})
}

long contains g.name if {
	some g in input.groups
	sized(g.name)
	g.of in members
}

bounds contains name if {
	some name, l in data.limits
	l.min <= object.get(input, "a", 0)
}

bound := data.limits[input.which].min

own := limits.one.min

others contains concat(".", [name, s]) if {
	some name
	some s in data.q[name].found
}

looked contains k if {
	some k
	input.object[k] == 2
}

at contains i if {
	some i, "b" in input.list
}

same_as if input.list == ["a", "b"]

unlike if input.list != ["a", "b"]

twice := [input.a, input.a]

together := object.union({"a": 1}, input.object)

texts := sprintf("%v and %d", [input.list, input.a])

falsehood := false

on_false if falsehood

on_not_false if not falsehood

through contains x if {
	some x in members
	keyed[x]
}

first := input.list[0]

negative contains -3 if input.a == 1
`

const others = `package q.%s

found contains "%s" if input.a == 1

found contains x if some x in input.list
`

var documents = []string{
	"limits", "complete", "fallback", "preset", "members", "keyed", "grouped", "deep", "deeper", "one", "fixed",
	"none_missing", "every_key", "absent", "lacks", "lists", "sets", "objects", "nested", "literal", "partly",
	"doubled", "paired", "called", "long", "bounds", "bound", "own", "others", "looked", "at", "same_as", "unlike",
	"twice", "together", "texts", "falsehood", "on_false", "on_not_false", "through", "first", "negative",
}

var inputs = []string{
	`{}`,
	`{"a": 1, "list": ["a", "b"], "object": {"k1": 1, "k2": 2}, "which": "one",
		"groups": [{"of": "a", "name": "first", "n": 1}, {"of": "b", "name": "second", "n": 2}, {"of": "a", "name": "third"}]}`,
	`{"a": 2, "list": ["b", 1, 1.0, 2, 12], "object": {"k1": 3}, "which": "two",
		"groups": [{"of": "a", "name": "x", "n": false}, {"of": "a", "name": "y", "n": [1]}, {"of": "a", "name": "y", "n": [1]}]}`,
	`{"a": 3, "list": [], "object": {}, "groups": [], "which": "none"}`,
	`{"a": "text", "list": {"a": "b"}, "object": ["k", 2], "which": 1, "groups": {"g": {"of": "k", "name": "n", "n": 0}}}`,
	`{"a": false, "list": ["b", "a", "a"], "object": {"k": null}, "groups": [{"of": ["a"], "name": {"b": 1}, "n": null}]}`,
	`{"a": null, "list": "a", "object": 1, "groups": [1, "a", null, {"of": 1}]}`,
}

var limits = map[string]any{"limits": map[string]any{
	"one": map[string]any{"min": json.Number("1.50")}, "two": map[string]any{"min": json.Number("2")},
}}

// made gives the options of queries over the rules.
func made(t *testing.T, extra map[string]string) []func(*rego.Rego) {
	t.Helper()
	texts := map[string]string{"p.rego": rules}
	for _, name := range []string{"one", "two"} {
		texts[name+".rego"] = fmt.Sprintf(others, name, name)
	}
	for name, text := range extra {
		texts[name] = text
	}
	modules := map[string]*ast.Module{}
	for name, text := range texts {
		modules[name] = ast.MustParseModule(text)
	}
	compiler := ast.NewCompiler()
	if compiler.Compile(modules); compiler.Failed() {
		t.Fatal(compiler.Errors)
	}
	store := inmem.NewFromObjectWithOpts(limits, inmem.OptRoundTripOnWrite(false), inmem.OptReturnASTValuesOnRead(true))
	return []func(*rego.Rego){rego.Compiler(compiler), rego.Store(store), rego.StrictBuiltinErrors(true)}
}

func paths(names []string) []string {
	var out []string
	for _, name := range names {
		out = append(out, "p."+name)
	}
	return out
}

// valueOf is the input as the evaluator has it.
func valueOf(t *testing.T, text string) ast.Value {
	t.Helper()
	return ast.MustParseTerm(text).Value
}

// evaluated is what OPA's evaluator answers: a value, nothing, or an error.
func evaluated(t *testing.T, options []func(*rego.Rego), name string, in ast.Value) (ast.Value, error) {
	t.Helper()
	keep := func(term *ast.Term, _ *rego.EvalContext) (any, error) { return term.Value, nil }
	options = append(options[:len(options):len(options)], rego.Query("x = data."+name), rego.GenerateJSON(keep), rego.ParsedInput(in))
	results, err := rego.New(options...).Eval(context.Background())
	if err != nil || len(results) == 0 {
		return nil, err
	}
	return results[0].Bindings["x"].(ast.Value), nil
}

// Every document is what OPA's evaluator says it is, for inputs of the kinds that the
// rules are made for and of others; asked in turn of one run, and of runs used again.
func TestPlanAnswersAsTheEvaluator(t *testing.T) {
	options := made(t, nil)
	p, err := plan.New(t.Context(), options, limits, paths(documents))
	if err != nil {
		t.Fatal(err)
	}
	answered, undefined := map[string]bool{}, map[string]bool{}
	for _, text := range append(inputs, inputs...) {
		in := valueOf(t, text)
		for _, name := range documents {
			want, wrong := evaluated(t, options, "p."+name, in)
			run := p.Over(t.Context(), in)
			got, err := run.Ask("p." + name)
			run.Close()
			if wrong != nil {
				if err == nil {
					t.Errorf("%s of %s: %v, the evaluator has an error: %v", name, text, got, wrong)
				}
				continue
			}
			if err != nil {
				t.Errorf("%s of %s: %v, the evaluator has %v", name, text, err, want)
				continue
			}
			if (got == nil) != (want == nil) || got != nil && (got.Compare(want) != 0 || got.String() != want.String()) {
				t.Errorf("%s of %s: %v, the evaluator has %v", name, text, got, want)
			}
			if got != nil && got.Hash() != valueOf(t, got.String()).Hash() {
				t.Errorf("%s of %s: %v has another hash than the same value read from its text", name, text, got)
			}
			answered[name] = answered[name] || want != nil
			undefined[name] = undefined[name] || want == nil
		}
	}
	for _, name := range documents {
		if !answered[name] && name != "on_false" {
			t.Errorf("no input gives %s a value", name)
		}
	}
	if len(undefined) < 10 {
		t.Errorf("only %d documents were seen undefined", len(undefined))
	}
}

// An error is an error, and the run can be used for the next input.
func TestPlanFails(t *testing.T) {
	options := made(t, map[string]string{"bad.rego": `package bad

sum := input.x + 1

twice := 1 if input.x

twice := 2 if input.x

keyed[k] := v if some [k, v] in input.pairs

counted := count(input.x)
`})
	p, err := plan.New(t.Context(), options, limits, []string{"bad.sum", "bad.twice", "bad.keyed", "bad.counted"})
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"sum": `{"x": "a"}`, "twice": `{"x": 1}`, "keyed": `{"pairs": [["a", 1], ["a", 2]]}`, "counted": `{"x": 1}`,
	} {
		in := valueOf(t, text)
		if _, err := evaluated(t, options, "bad."+name, in); err == nil {
			t.Fatalf("the evaluator has no error for %s", name)
		}
		run := p.Over(t.Context(), in)
		if v, err := run.Ask("bad." + name); err == nil {
			t.Errorf("%s is %v, want an error", name, v)
		}
		run.Close()
		run = p.Over(t.Context(), valueOf(t, `{"x": 2}`))
		if v, err := run.Ask("bad.sum"); err != nil || v.String() != "3" {
			t.Errorf("after the error of %s the sum is %v (%v), want 3", name, v, err)
		}
		run.Close()
	}
}

// What it has no way to run is refused, not passed over.
func TestPlanRefuses(t *testing.T) {
	options := made(t, map[string]string{"w.rego": `package w

replaced := x if x := data.p.complete with input.a as 2
`})
	_, err := plan.New(t.Context(), options, limits, []string{"w.replaced"})
	if err == nil || !strings.Contains(err.Error(), "WithStmt") {
		t.Errorf("%v, want that there is no way to run a statement of that kind", err)
	}
}

// A run that was cancelled says so.
func TestPlanIsCancelled(t *testing.T) {
	p, err := plan.New(t.Context(), made(t, nil), limits, paths(documents))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	run := p.Over(ctx, valueOf(t, `{}`))
	defer run.Close()
	cancel()
	if _, err := run.Ask("p.literal"); err == nil || ctx.Err() == nil {
		t.Errorf("%v, want that it was cancelled", err)
	}
}
