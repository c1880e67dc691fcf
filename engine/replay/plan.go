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
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// A plan is how the visits of one record schema are judged on the new side, where the
// old side is one edition.
type plan struct {
	old, now *Edition
	// withheld are the rules of either release that the schema has no field for,
	// sorted.
	withheld []string
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

// allowed are outcomes without those of rules that are withheld.
func (p *plan) allowed(outcomes []verdict.Outcome) []verdict.Outcome {
	return slices.DeleteFunc(slices.Clone(outcomes), func(o verdict.Outcome) bool {
		_, found := slices.BinarySearch(p.withheld, o.Rule)
		return found
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
	p := &plan{old: old, now: now, asked: map[string]bool{}}
	for _, set := range []*ruleset.Set{old.set, now.set} {
		for _, rule := range set.Rules() {
			if before(written, rule.Since) {
				p.withheld = append(p.withheld, rule.Name)
			}
		}
	}
	slices.Sort(p.withheld)
	p.withheld = slices.Compact(p.withheld)
	var same []string
	if !inFull {
		var err error
		if same, err = compare.Same(old.side, now.side); err != nil {
			return nil, err
		}
	}
	var names []string
	for _, rule := range now.set.Rules() {
		_, is := slices.BinarySearch(same, rule.Name)
		_, not := slices.BinarySearch(p.withheld, rule.Name)
		if !is && !not {
			p.asked[rule.Name] = true
			names = append(names, rule.Name)
		}
	}
	var err error
	if p.ask, err = judge.NewOver(ctx, now.set, names); err != nil {
		return nil, err
	}
	p.conclude, err = judge.NewOver(ctx, old.set, nil)
	return p, err
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
