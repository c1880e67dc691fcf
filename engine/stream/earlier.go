package stream

import (
	"context"
	"errors"
	"fmt"
	"iter"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/sheet"
)

// LoadSheets adds earlier records to opt.History as [Load] does, and hands on the
// sheet of each by the release for its day; a record of a day without a release
// has none. It takes the time of a sheet a record, one after the other. An error
// of refused or laid ends it and is returned.
func LoadSheets(ctx context.Context, items iter.Seq[record.Item], opt Options, refused func(record.Problems) error, laid func(*sheet.Sheet) error) error {
	return Each(ctx, items, func(item record.Item) error {
		rec, err := decode(opt.Decoder, item)
		var problems record.Problems
		switch {
		case errors.As(err, &problems):
			return refused(problems)
		case err != nil:
			return err
		}
		c := judge.Case{Record: rec, Earlier: opt.History.Earlier(rec), Received: opt.Received}
		opt.History.Add(rec)
		j, err := opt.Rules.on(ctx, rec.LocalDay())
		var none *notInForce
		if errors.As(err, &none) {
			return nil
		}
		if err != nil {
			return err
		}
		s, err := j.Sheet(ctx, c)
		if err != nil {
			return fmt.Errorf("%s: line %d: %w", item.Source, item.FirstLine, err)
		}
		return laid(s)
	})
}
