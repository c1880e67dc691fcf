package judge

import (
	"context"
	"fmt"
	"strconv"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"
	"github.com/open-policy-agent/opa/v1/topdown"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// The documents of a release that are asked for besides its rules.
const (
	followedUp = "shared.followup.followed_up"
	completion = "shared.visit.completion"
	cause      = "shared.visit.cause"
)

// parts are what every rule is asked for, if it defines it. Facts are not among
// them: they are asked for only where there is something to explain.
var parts = []string{
	ruleset.Subjects, ruleset.Spared, ruleset.Conforming, ruleset.Nonconforming,
	ruleset.TooClose, ruleset.NotPossible, ruleset.Severity,
}

// query asks for several documents of a release at once, so that what rules
// share is evaluated once.
type query struct {
	prepared rego.PreparedEvalQuery
	set      *ruleset.Set
	names    []string // dotted, below data
}

// answers are the values by dotted name.
type answers map[string]ast.Value

// prepare makes a query for the documents named, dotted and below data.
func prepare(ctx context.Context, set *ruleset.Set, names []string) (*query, error) {
	body := make(ast.Body, 0, len(names))
	for i, name := range names {
		body.Append(ast.Equality.Expr(ast.VarTerm(variable(i)), ast.NewTerm(ruleset.Reference("data."+name))))
	}
	options := append(set.Rego(), rego.ParsedQuery(body), rego.GenerateJSON(keepValue))
	prepared, err := rego.New(options...).PrepareForEval(ctx)
	if err != nil {
		return nil, fmt.Errorf("preparing the questions to release %s: %w", set.Version(), err)
	}
	return &query{prepared: prepared, set: set, names: names}, nil
}

func variable(i int) string { return "answer_" + strconv.Itoa(i) }

// keepValue hands answers on as they are: sets stay sets and numbers keep their
// text.
func keepValue(t *ast.Term, _ *rego.EvalContext) (any, error) { return t.Value, nil }

// ask evaluates the query over one input. A document that has no value, or more
// than one, is an error that names it.
func (q *query) ask(ctx context.Context, in ast.Value, options ...rego.EvalOption) (answers, error) {
	results, err := q.eval(ctx, in, options...)
	if err != nil {
		return nil, err
	}
	switch len(results) {
	case 1:
	case 0:
		return nil, q.explainNone(ctx, in)
	default:
		return nil, &Fault{Message: fmt.Sprintf("%d answers to one question", len(results))}
	}
	out := make(answers, len(q.names))
	for i, name := range q.names {
		v, ok := results[0].Bindings[variable(i)].(ast.Value)
		if !ok {
			return nil, &Fault{Rule: name, Message: "gave no answer"}
		}
		out[name] = v
	}
	return out, nil
}

func (q *query) eval(ctx context.Context, in ast.Value, options ...rego.EvalOption) (rego.ResultSet, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	results, err := q.prepared.Eval(ctx, append(options, rego.EvalParsedInput(in))...)
	// A short query does not notice that it was cancelled.
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, evaluationFault(q.set, err)
	}
	return results, nil
}

// explainNone finds which of the documents has no value: the query as a whole
// says only that one of them has none.
func (q *query) explainNone(ctx context.Context, in ast.Value) error {
	for _, name := range q.names {
		single, err := prepare(ctx, q.set, []string{name})
		if err != nil {
			return err
		}
		results, err := single.eval(ctx, in)
		if err != nil {
			return err
		}
		if len(results) == 0 {
			return &Fault{Rule: name, Message: "gave no answer"}
		}
	}
	return &Fault{Message: "the rules gave no answer together, though each gives one alone"}
}

// shared makes several queries over one input share what the first of them evaluated,
// and what is known.
func shared(known ...knownSet) rego.EvalOption {
	cache := topdown.NewVirtualCache()
	for _, k := range known {
		cache.Put(ruleset.Reference("data."+k.name), k.value)
	}
	return rego.EvalVirtualCache(cache)
}
