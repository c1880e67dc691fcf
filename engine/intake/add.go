package intake

import (
	"context"
	"errors"
	"iter"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
)

// together is how many visits are archived in one go. To reach the disk takes most
// of the time of an addition, whatever its size.
const together = 64

// Told is what came of one item: an addition, or what is wrong with the record.
type Told struct {
	Added    archive.Added
	Problems record.Problems // nil where it was added
	Source   string
}

// Add archives items without judging them, several at a time, and tells of each
// in order, once it is on the disk. What is refused does not stop the others. At
// the end it judges again what must be, and tells again of it. Of the options
// Workers, Concessions and Sheets are not looked at.
func Add(ctx context.Context, items iter.Seq[record.Item], opt Options, tell func(Told) error, again func(Again) error) error {
	k := &keeper{archive: opt.Archive, decoder: opt.Decoder, rules: opt.Rules}
	receipt := archive.Receipt{Received: opt.Received, Correction: opt.Correction}
	whole := context.WithoutCancel(ctx) // what was read is archived and told
	var batch []read
	flush := func() error {
		told, err := k.addAll(whole, batch, receipt)
		batch = batch[:0]
		if err != nil {
			return err
		}
		for _, t := range told {
			if err := tell(t); err != nil {
				return err
			}
		}
		return nil
	}
	ran := stream.Each(ctx, items, func(item record.Item) error {
		r, err := decoded(opt.Decoder, item)
		if err != nil {
			return err
		}
		if batch = append(batch, r); len(batch) < together {
			return nil
		}
		return flush()
	})
	if ran != nil && !errors.Is(ran, stream.ErrInterrupted) {
		return ran
	}
	if err := flush(); err != nil {
		return errors.Join(ran, err)
	}
	return errors.Join(ran, k.again(ctx, again))
}

// read is an item that was read: a record, or what is wrong with it.
type read struct {
	rec      *record.Record
	problems record.Problems
	source   string
}

func decoded(decoder *record.Decoder, item record.Item) (read, error) {
	r := read{source: item.Source}
	err := item.Err
	if err == nil {
		r.rec, err = decoder.Decode(item.Source, item.FirstLine, item.Data)
	}
	if err != nil && !errors.As(err, &r.problems) {
		return r, err
	}
	return r, nil
}

// addAll archives what was read in one go.
func (k *keeper) addAll(ctx context.Context, batch []read, receipt archive.Receipt) ([]Told, error) {
	told := make([]Told, 0, len(batch))
	if len(batch) == 0 {
		return nil, nil
	}
	err := k.archive.Do(ctx, func(b *archive.Batch) error {
		for _, r := range batch {
			t := Told{Problems: r.problems, Source: r.source}
			if r.rec != nil {
				added, err := b.Add(r.rec, receipt)
				if err != nil {
					err = refused(r.rec, r.source, err)
					if !errors.As(err, &t.Problems) {
						return err
					}
				}
				t.Added = added
			}
			told = append(told, t)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for _, t := range told {
		if t.Problems == nil {
			if err := k.note(ctx, t.Added); err != nil {
				return nil, err
			}
		}
	}
	return told, nil
}
