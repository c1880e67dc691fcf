package judge

import (
	"context"
	"slices"
	"sync/atomic"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"

	"github.com/visitgauge/visitgauge/engine/plan"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// planAfter is how many inputs are answered for by OPA's evaluator before the rules are
// planned. To plan takes about as long as evaluating six to eight visits does, so whoever
// judges one visit does not wait for it.
const planAfter = 8

// planner plans a release once enough was asked of it.
type planner struct {
	set       *ruleset.Set
	documents []string
	asked     atomic.Int64
	plan      atomic.Pointer[plan.Plan]
}

// over puts an input before the plan; nil as long as there is none. One goroutine plans
// while the others go on without.
func (p *planner) over(ctx context.Context, in ast.Value) *plan.Run {
	if !p.set.Native() {
		return nil
	}
	if p.asked.Add(1) == planAfter+1 {
		// A release that cannot be planned is evaluated as before.
		if made, err := plan.New(context.WithoutCancel(ctx), p.set.RegoToPlan(), p.set.Data(), p.documents); err == nil {
			p.plan.Store(made)
		}
	}
	if made := p.plan.Load(); made != nil {
		return made.Over(ctx, in)
	}
	return nil
}

// session is one input about which several questions are asked. What rules share is
// worked out once.
type session struct {
	in    ast.Value
	run   *plan.Run // nil where there is no plan
	cache rego.EvalOption
	known []knownSet
}

func (p *planner) session(ctx context.Context, in ast.Value) *session {
	return &session{in: in, run: p.over(ctx, in)}
}

func (s *session) close() {
	if s.run != nil {
		s.run.Close()
	}
}

// know has sets taken for those that the rules give, in place of evaluating them.
func (s *session) know(sets []knownSet) {
	s.known = sets
	if s.run == nil {
		return
	}
	for _, k := range sets {
		s.run.Know(k.name, k.value)
	}
}

// ask has the values of documents. What the plan does not answer, because there is
// none, or an error, or no answer, is put to OPA's evaluator, which says why.
func (s *session) ask(ctx context.Context, names []string, prepared func() (*query, error)) (answers, error) {
	if got := s.planned(names); got != nil {
		return got, nil
	}
	q, err := prepared()
	if err != nil {
		return nil, err
	}
	if s.cache == nil {
		s.cache = shared(s.known...)
	}
	return q.ask(ctx, s.in, s.cache)
}

func (s *session) planned(names []string) answers {
	if s.run == nil {
		return nil
	}
	out := make(answers, len(names))
	for _, name := range names {
		v, err := s.run.Ask(name)
		if v == nil || err != nil {
			return nil
		}
		out[name] = v
	}
	return out
}

// plannable are all documents that a judge may ask for.
func plannable(set *ruleset.Set, rules []ruleset.Rule, asked []string) []string {
	names := slices.Clone(asked)
	for _, rule := range rules {
		if rule.Defines(ruleset.Facts) {
			names = append(names, rule.Name+"."+ruleset.Facts)
		}
	}
	if laysOut(set) {
		names = append(names, sheetDocuments()...)
	}
	return names
}
