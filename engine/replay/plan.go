package replay

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/visitgauge/visitgauge/engine/compare"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// A plan is how the visits of one record schema are judged, where the old side is one
// edition.
type plan struct {
	// named is the edition of the old side, and old and now what judges: without the
	// rules that are withheld.
	named, old, now *Edition
	// withheld are the rules of either release that the schema has no field for,
	// sorted; partly tells whether the old release has any of them.
	withheld []string
	partly   bool
	// asked are the rules of the new release that are asked; the others are the same in
	// both.
	asked map[string]bool
	ask   *judge.Over
	// conclude concludes for the old side from outcomes that are known.
	conclude *judge.Over
}

// known are the outcomes of the old side that count on the new one.
func (p *plan) known(old []verdict.Outcome) []verdict.Outcome {
	return slices.DeleteFunc(slices.Clone(old), func(o verdict.Outcome) bool {
		_, there := p.now.set.Rule(o.Rule)
		return !there || p.asked[o.Rule]
	})
}

// plans makes each plan once.
type plans struct {
	now    *Edition
	inFull bool

	mu   sync.Mutex
	made map[string]func() (*plan, error)
}

// of is the plan for records of a schema, such as visit/1, and an edition of the old
// side.
func (p *plans) of(ctx context.Context, old *Edition, rec *record.Record) (*plan, error) {
	written, _ := rec.Text("/schema")
	key := old.digest() + " " + old.side.Name + " " + written
	p.mu.Lock()
	if p.made == nil {
		p.made = map[string]func() (*plan, error){}
	}
	load, ok := p.made[key]
	if !ok {
		ctx := context.WithoutCancel(ctx)
		load = sync.OnceValues(func() (*plan, error) {
			made, err := newPlan(ctx, old, p.now, written, p.inFull)
			if err != nil {
				return nil, fmt.Errorf("replaying under %s against %s: %w", p.now.side.Name, old.side.Name, err)
			}
			return made, nil
		})
		p.made[key] = load
	}
	p.mu.Unlock()
	return load()
}

func newPlan(ctx context.Context, old, now *Edition, written string, inFull bool) (*plan, error) {
	p := &plan{named: old, old: old, now: now, asked: map[string]bool{}}
	var err error
	// A rule of both releases that one of them could not have asked is asked by neither.
	p.withheld = append(tooNew(old, written), tooNew(now, written)...)
	slices.Sort(p.withheld)
	p.withheld = slices.Compact(p.withheld)
	if p.partly = old.has(p.withheld); p.partly {
		if p.old, err = old.without(ctx, p.withheld); err != nil {
			return nil, err
		}
	}
	if now.has(p.withheld) {
		if p.now, err = now.without(ctx, p.withheld); err != nil {
			return nil, err
		}
	}
	var same []string
	if !inFull {
		if same, err = compare.Same(p.old.side, p.now.side); err != nil {
			return nil, err
		}
	}
	var names []string
	for _, rule := range p.now.set.Rules() {
		if _, is := slices.BinarySearch(same, rule.Name); !is {
			p.asked[rule.Name] = true
			names = append(names, rule.Name)
		}
	}
	if p.ask, err = judge.NewOver(ctx, p.now.set, names); err != nil {
		return nil, err
	}
	p.conclude, err = judge.NewOver(ctx, p.old.set, nil)
	return p, err
}

// tooNew are the rules of an edition that records of a schema have no field for.
func tooNew(e *Edition, written string) []string {
	var names []string
	for _, rule := range e.set.Rules() {
		if before(written, rule.Since) {
			names = append(names, rule.Name)
		}
	}
	return names
}

// before tells whether a record schema is older than another, as visit/1 is than
// visit/2. What is no such name is older than none.
func before(a, b string) bool {
	nameA, numberA, _ := strings.Cut(a, "/")
	nameB, numberB, _ := strings.Cut(b, "/")
	x, errX := strconv.Atoi(numberA)
	y, errY := strconv.Atoi(numberB)
	return errX == nil && errY == nil && nameA == nameB && x < y
}
