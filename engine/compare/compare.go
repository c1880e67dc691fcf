package compare

import (
	"context"
	"fmt"
	"iter"

	"github.com/visitgauge/visitgauge/engine/record"
)

// Options say what is tried besides the examples.
type Options struct {
	// Decoder reads visit records; it must be set.
	Decoder *record.Decoder
	// Visits are judged by both releases, each with those before it; nil for none.
	Visits iter.Seq[record.Item]
	// Refused, if set, is told of each of them that is no record; an error ends the run.
	Refused func(record.Problems) error
	// Progress, if set, is told how much was tried of how much there is to try.
	Progress func(done, of int)
}

// Compare says what differs between two releases, old and new.
func Compare(ctx context.Context, old, now Side, opt Options) (*Difference, error) {
	a, err := newSide(old, opt.Decoder)
	if err != nil {
		return nil, err
	}
	b, err := newSide(now, opt.Decoder)
	if err != nil {
		return nil, err
	}
	d := &Difference{
		Schema: Schema, Old: a.edition(), New: b.edition(),
		Limits: limitItems(a, b), Steps: items("steps", a, b), Classes: items("classes", a, b), Units: items("units", a, b),
		Shared: sharedItems(a, b), Examples: exampleCount(a, b),
	}
	d.Because = []Reason{}
	t := &trial{a: a, b: b, d: d, progress: opt.Progress}
	t.sortOut()
	if err := t.run(ctx); err != nil {
		return nil, fmt.Errorf("comparing %s with %s: %w", old.Name, now.Name, err)
	}
	if opt.Visits != nil {
		if err := d.judgeVisits(ctx, a, b, opt); err != nil {
			return nil, fmt.Errorf("comparing %s with %s: %w", old.Name, now.Name, err)
		}
	}
	d.weigh()
	return d, nil
}
