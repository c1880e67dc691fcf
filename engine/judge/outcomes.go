package judge

import (
	"context"
	"fmt"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/plan"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Outcomes asks one rule of a release for its outcomes and no more: no facts, no
// wording. It is for whoever puts many questions and looks at the answers alone.
type Outcomes struct {
	rule ruleset.Rule
	all  *query
}

// NewOutcomes prepares the question to one rule.
func NewOutcomes(ctx context.Context, set *ruleset.Set, name string) (*Outcomes, error) {
	rule, ok := set.Rule(name)
	if !ok {
		return nil, fmt.Errorf("release %s has no rule %q", set.Version(), name)
	}
	all, err := prepare(ctx, set, documents(rule))
	if err != nil {
		return nil, err
	}
	return &Outcomes{rule: rule, all: all}, nil
}

// Prepared is a case in the form that is evaluated, so that it can be put before
// rules many times. It may be used by several goroutines at once.
type Prepared struct{ in ast.Value }

// Input is what the rules see of the case. It must not be changed.
func (p Prepared) Input() ast.Value { return p.in }

// Prepare brings a case into the form that is evaluated.
func Prepare(c Case) (Prepared, error) {
	in, err := inputValue(c)
	return Prepared{in}, err
}

// Of are the outcomes of one case, sorted by subject, without statements. An error of
// type [Fault] says that the rule broke its contract.
func (o *Outcomes) Of(ctx context.Context, c Prepared) ([]verdict.Outcome, error) {
	got, err := o.all.ask(ctx, c.in)
	if err != nil {
		return nil, err
	}
	return classify(o.rule, got)
}

// Planned is rules of a release that were planned, for whoever asks them very often. It
// reads the data that the set was loaded with, also if the set is a variant that reads
// other data, unless others are laid under it.
type Planned struct {
	plan *plan.Plan
	data ast.Value // nil if the plan has its own
}

// NewPlanned plans the questions to the rules named, which the release must have.
func NewPlanned(ctx context.Context, set *ruleset.Set, names []string) (*Planned, error) {
	return newPlanned(ctx, set, set.Data(), names)
}

// NewPlannedApart does the same without data, for whoever changes them between
// questions; it answers less soon. None may be asked before [Planned.On].
func NewPlannedApart(ctx context.Context, set *ruleset.Set, names []string) (*Planned, error) {
	return newPlanned(ctx, set, nil, names)
}

// On is the plan with data under it, which must not change while it is asked.
func (p *Planned) On(data ast.Value) *Planned { return &Planned{plan: p.plan, data: data} }

func (p *Planned) over(ctx context.Context, in ast.Value) *plan.Run {
	if p.data != nil {
		return p.plan.OverData(ctx, in, p.data)
	}
	return p.plan.Over(ctx, in)
}

func newPlanned(ctx context.Context, set *ruleset.Set, data map[string]any, names []string) (*Planned, error) {
	var asked []string
	for _, name := range names {
		rule, ok := set.Rule(name)
		if !ok {
			return nil, fmt.Errorf("release %s has no rule %q", set.Version(), name)
		}
		asked = append(asked, documents(rule)...)
	}
	p, err := plan.New(ctx, set.RegoToPlan(), data, asked)
	if err != nil {
		return nil, err
	}
	return &Planned{plan: p}, nil
}

// By are the outcomes of one case as [Outcomes.Of] gives them, by a plan of the same
// set that has the rule.
func (o *Outcomes) By(ctx context.Context, p *Planned, c Prepared) ([]verdict.Outcome, error) {
	s := &session{in: c.in, run: p.over(ctx, c.in)}
	defer s.close()
	return o.within(ctx, s)
}

// ByWorking does as [Outcomes.By] does and gives what was worked out on the way.
func (o *Outcomes) ByWorking(ctx context.Context, p *Planned, c Prepared) ([]verdict.Outcome, plan.Answers, error) {
	s := &session{in: c.in, run: p.over(ctx, c.in)}
	defer s.close()
	out, err := o.within(ctx, s)
	return out, s.run.Answers(), err
}

// ByAgain does as [Outcomes.By] does, after a change on which no more rests than is
// marked. All else is taken from what was worked out by the same plan for the same case
// before the change.
func (o *Outcomes) ByAgain(ctx context.Context, p *Planned, c Prepared, before plan.Answers, changed plan.Resting) ([]verdict.Outcome, error) {
	s := &session{in: c.in, run: p.over(ctx, c.in)}
	defer s.close()
	s.run.Take(before, changed)
	return o.within(ctx, s)
}

func (o *Outcomes) within(ctx context.Context, s *session) ([]verdict.Outcome, error) {
	got, err := s.ask(ctx, o.all.names, func() (*query, error) { return o.all, nil })
	if err != nil {
		return nil, err
	}
	return classify(o.rule, got)
}

// Resting marks what of a plan rests on a rule or helper, dotted and below data.
func (p *Planned) Resting(name string) plan.Resting { return p.plan.Resting(name) }
