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
	Rule string // whose example it is
	Name string
	In   judge.Prepared

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

// Keep makes the runner keep the cases that [Runner.Rule] makes from now on, so that
// [Runner.Questions] need not make them again. It is to be called before either.
func (r *Runner) Keep() { r.keep = true }

// note keeps a case if cases are kept.
func (r *Runner) note(rule string, e example, built judge.Case) error {
	if !r.keep {
		return nil
	}
	in, err := judge.Prepare(built)
	if err != nil {
		return err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.kept[rule] = append(r.kept[rule], &Question{Rule: rule, Name: e.name, In: in, example: e})
	return nil
}

// Questions are the examples of one rule, in the order of its file; none if it has no
// such file. An example that cannot be made is an error.
func (r *Runner) Questions(ctx context.Context, rule string) ([]*Question, error) {
	r.mu.Lock()
	kept, ran := r.kept[rule], r.keep && r.ran[rule]
	r.mu.Unlock()
	if ran {
		return kept, nil
	}
	list, err := r.examples(rule)
	if err != nil {
		return nil, err
	}
	var cases []*Question
	for _, e := range list {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		built, err := r.build(e)
		if err != nil {
			return nil, fmt.Errorf("making the example %q of %s: %w", e.name, rule, err)
		}
		in, err := judge.Prepare(built)
		if err != nil {
			return nil, err
		}
		cases = append(cases, &Question{Rule: rule, Name: e.name, In: in, example: e})
	}
	return cases, nil
}
