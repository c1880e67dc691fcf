package mutation

import (
	"context"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/plan"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// worker asks rules, one question at a time.
type worker struct {
	board *board
	shelf *shelf
	set   *ruleset.Set
	asked map[string]*judge.Outcomes
}

func (t *trial) newWorker() *worker {
	s := newShelf(t.set.Data())
	return &worker{board: &board{thrown: none}, shelf: s, set: t.set.Variant(t.wired, s, switches()...), asked: map[string]*judge.Outcomes{}}
}

// meets puts a case before its rule, with the switches of the worker's board, and tells
// whether it is answered as expected. A rule that fails does not.
func (w *worker) meets(ctx context.Context, t *trial, i int32, ask asking) (bool, error) {
	c := t.cases[i]
	of := w.asked[c.Rule]
	if of == nil {
		var err error
		if of, err = judge.NewOutcomes(ctx, w.set, c.Rule); err != nil {
			return false, err
		}
		w.asked[c.Rule] = of
	}
	got, err := ask(withBoard(ctx, w.board), of, i)
	if err := ctx.Err(); err != nil {
		return false, err
	}
	return err == nil && c.Met(got), nil
}

// asking is a way to have the outcomes of a case.
type asking func(ctx context.Context, of *judge.Outcomes, i int32) ([]verdict.Outcome, error)

// plans answer sooner than OPA's evaluator does.
type plans struct {
	wired  *judge.Planned // with switches, and the numbers as they are written
	apart  *judge.Planned // with switches, over other numbers
	worked []plan.Answers // by case, on the way to its outcomes as they are
	rests  map[string]plan.Resting
}

// newPlans plans the rules; nil where they cannot be planned and OPA's evaluator must
// answer.
func (t *trial) newPlans(ctx context.Context, opt Options) *plans {
	p := &plans{worked: make([]plan.Answers, len(t.cases)), rests: map[string]plan.Resting{}}
	set := t.set.Variant(t.wired, newShelf(t.set.Data()), switches()...)
	ctx = context.WithoutCancel(ctx)
	var err error
	if p.wired, err = judge.NewPlanned(ctx, set, t.rules); err != nil {
		return nil
	}
	if opt.wants(Limit) {
		if p.apart, err = judge.NewPlannedApart(ctx, set, t.rules); err != nil {
			return nil
		}
	}
	return p
}

// asItIs asks about a case with nothing changed.
func (t *trial) asItIs(ctx context.Context, of *judge.Outcomes, i int32) ([]verdict.Outcome, error) {
	if t.plans == nil {
		return of.Of(ctx, t.cases[i].In)
	}
	got, worked, err := of.ByWorking(ctx, t.plans.wired, t.cases[i].In)
	t.plans.worked[i] = worked
	return got, err
}

// switched asks with a switch thrown in a rule or helper, of which rests marks what rests
// on it.
func (t *trial) switched(rests plan.Resting) asking {
	return func(ctx context.Context, of *judge.Outcomes, i int32) ([]verdict.Outcome, error) {
		if t.plans == nil {
			return of.Of(ctx, t.cases[i].In)
		}
		return of.ByAgain(ctx, t.plans.wired, t.cases[i].In, t.plans.worked[i], rests)
	}
}

// moved asks with the data as they stand on a worker's shelf.
func (t *trial) moved(data ast.Value) asking {
	return func(ctx context.Context, of *judge.Outcomes, i int32) ([]verdict.Outcome, error) {
		if t.plans == nil {
			return of.Of(ctx, t.cases[i].In)
		}
		return of.By(ctx, t.plans.apart.On(data), t.cases[i].In)
	}
}

// restsOn marks what of the plan rests on a rule or helper.
func (t *trial) restsOn(rule string) plan.Resting {
	if t.plans == nil {
		return nil
	}
	marked, ok := t.plans.rests[rule]
	if !ok {
		marked = t.plans.wired.Resting(rule)
		t.plans.rests[rule] = marked
	}
	return marked
}
