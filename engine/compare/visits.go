package compare

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"

	"golang.org/x/sync/errgroup"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/turn"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// judgeVisits judges visits by both releases, each with those of its machine that
// came before it.
func (d *Difference) judgeVisits(ctx context.Context, a, b *side, opt Options) error {
	old, err := judge.New(ctx, a.Set)
	if err != nil {
		return err
	}
	now, err := judge.New(ctx, b.Set)
	if err != nil {
		return err
	}
	d.Visits = &Visits{Changed: []VisitChange{}, Turned: []RuleTurn{}}
	byRule := map[string]*turn.Counter{}
	var tracker history.Tracker
	for item := range opt.Visits {
		if err := ctx.Err(); err != nil {
			return err
		}
		if item.Err != nil {
			var problems record.Problems
			if !errors.As(item.Err, &problems) {
				return item.Err
			}
			if err := d.refuse(problems, opt); err != nil {
				return err
			}
			continue
		}
		rec, err := opt.Decoder.Decode(item.Source, item.FirstLine, item.Data)
		var problems record.Problems
		if errors.As(err, &problems) {
			if err := d.refuse(problems, opt); err != nil {
				return err
			}
			continue
		}
		if err != nil {
			return err
		}
		c := judge.Case{Record: rec, Earlier: tracker.Earlier(rec)}
		tracker.Add(rec)
		was, is, err := both(ctx, old, now, c)
		if err != nil {
			return err
		}
		d.Visits.Judged++
		d.visit(was, is, byRule)
	}
	for _, rule := range slices.Sorted(maps.Keys(byRule)) {
		for _, turned := range byRule[rule].Sorted() {
			d.Visits.Turned = append(d.Visits.Turned, RuleTurn{Rule: rule, Turn: turned})
		}
	}
	return nil
}

func (d *Difference) refuse(problems record.Problems, opt Options) error {
	d.Visits.Refused++
	if opt.Refused == nil {
		return nil
	}
	return opt.Refused(problems)
}

// both judges one visit by both releases, side by side.
func both(ctx context.Context, old, now *judge.Judge, c judge.Case) (was, is *verdict.Verdict, err error) {
	group, ctx := errgroup.WithContext(ctx)
	group.Go(func() (err error) {
		was, err = old.Judge(ctx, c)
		return err
	})
	group.Go(func() (err error) {
		is, err = now.Judge(ctx, c)
		return err
	})
	return was, is, group.Wait()
}

// visit takes down what became of one visit.
func (d *Difference) visit(was, is *verdict.Verdict, byRule map[string]*turn.Counter) {
	for _, p := range turn.Pairs(was.Outcomes, is.Outcomes) {
		if byRule[p.Rule] == nil {
			byRule[p.Rule] = &turn.Counter{}
		}
		byRule[p.Rule].Add(p.From(), p.To(), is.Visit.ID+": "+p.Subject)
	}
	if was.Acceptance.Value == is.Acceptance.Value && was.Serviceability == is.Serviceability {
		return
	}
	c := VisitChange{
		Visit: is.Visit.ID, Machine: is.Visit.Serial,
		OldAcceptance: string(was.Acceptance.Value), NewAcceptance: string(is.Acceptance.Value),
		OldServiceability: string(was.Serviceability), NewServiceability: string(is.Serviceability),
	}
	d.Visits.Changed = append(d.Visits.Changed, c)
	l := Minor
	if was.Acceptance.Value == verdict.Accepted && is.Acceptance.Value != verdict.Accepted ||
		usable(was.Serviceability) > usable(is.Serviceability) {
		l = Major
	}
	d.Because = append(d.Because, Reason{l, fmt.Sprintf("visit %s turns from %s and %s to %s and %s",
		c.Visit, c.OldAcceptance, c.OldServiceability, c.NewAcceptance, c.NewServiceability)})
}

// usable is 2 where the machine may be used, 1 where it may with a restriction.
func usable(s verdict.Serviceability) int {
	switch s {
	case verdict.Serviceable:
		return 2
	case verdict.Restricted:
		return 1
	}
	return 0
}
