package examples

import (
	"context"
	"encoding/json"
	"fmt"
	"math/big"
	"slices"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Question is one example in the form that a rule is asked about, for those who put it
// before a release in which something was changed.
type Question struct {
	Rule  string // whose example it is
	Name  string
	Class string // of the machine
	In    judge.Prepared

	example example
}

// Met tells whether outcomes of the rule are those that the example expects.
func (c *Question) Met(outcomes []verdict.Outcome) bool {
	var got Example
	c.example.compare(&judge.Answer{Outcomes: outcomes}, &got, &Seen{})
	return len(got.Problems) == 0
}

// Writes tells whether the example writes a number into its visit, as it is given.
func (c *Question) Writes(number string) bool {
	return slices.ContainsFunc(c.example.visit.changes, func(ch change) bool { return holds(ch.to, number) })
}

// holds tells whether a value is or holds a number of the same value.
func holds(v any, number string) bool {
	switch v := v.(type) {
	case json.Number:
		a, ok := new(big.Rat).SetString(v.String())
		b, okToo := new(big.Rat).SetString(number)
		return ok && okToo && a.Cmp(b) == 0
	case map[string]any:
		for _, e := range v {
			if holds(e, number) {
				return true
			}
		}
	case []any:
		return slices.ContainsFunc(v, func(e any) bool { return holds(e, number) })
	}
	return false
}

// question makes an example, as a case and in the form in which it is asked.
func (r *Runner) question(rule string, e example) (judge.Case, *Question, error) {
	c, err := r.build(e)
	if err != nil {
		return c, nil, err
	}
	in, err := r.sharing.Prepare(c)
	return c, &Question{Rule: rule, Name: e.name, Class: c.Record.Class(), In: in, example: e}, err
}

// Questions are the examples of one rule, in the order of its file; none if it has no
// such file. An example that cannot be made is an error, unless [Runner.Rule] has told
// of it before; it is left out then.
func (r *Runner) Questions(ctx context.Context, rule string) ([]*Question, error) {
	r.mu.Lock()
	kept, ran := r.kept[rule]
	r.mu.Unlock()
	if ran {
		return kept, nil
	}
	list, err := r.examples(rule)
	if err != nil {
		return nil, err
	}
	var questions []*Question
	for _, e := range list {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		_, q, err := r.question(rule, e)
		if err != nil {
			return nil, fmt.Errorf("making the example %q of %s: %w", e.name, rule, err)
		}
		questions = append(questions, q)
	}
	return questions, nil
}
