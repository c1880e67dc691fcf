package main

import (
	"context"
	"io"
	"slices"

	"github.com/spf13/pflag"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/schema"
)

// caseFlags say how records are read and with what they are judged. Commands
// that show a case and those that judge it have them in common.
type caseFlags struct {
	earlier  []string
	received string
	limits   record.Limits
}

func (f *caseFlags) add(flags *pflag.FlagSet) {
	flags.StringArrayVar(&f.earlier, "earlier", nil,
		"compare with the earlier visits in `PATH`, a directory or a file as for records; may be repeated")
	flags.StringVar(&f.received, "received", "",
		"the `TIME` at which the records were received, as 2026-05-04T17:00:00+02:00")
	flags.Int64Var(&f.limits.Bytes, "max-bytes", record.DefaultBytes, "refuse a record of more than `N` bytes")
	flags.IntVar(&f.limits.Depth, "max-depth", record.DefaultDepth, "refuse a record nested deeper than `N` levels")
}

// check refuses values that cannot be.
func (f *caseFlags) check(records []string) error {
	if f.received != "" {
		if _, err := schema.ParseDateTime(f.received); err != nil {
			return usage("--received %q: %w", f.received, err)
		}
	}
	if f.limits.Bytes < 1 || f.limits.Depth < 1 {
		return usage("--max-bytes and --max-depth must be 1 or more")
	}
	inputs := slices.Concat(f.earlier, records)
	if n := len(inputs) - len(slices.DeleteFunc(inputs, func(p string) bool { return p == "-" })); n > 1 {
		return usage("standard input (-) can be read only once")
	}
	return nil
}

// decoder returns a decoder of visit records.
func (f *caseFlags) decoder() (*record.Decoder, error) {
	visit, err := schema.Compile("visit")
	if err != nil {
		return nil, err
	}
	return record.NewDecoder(visit, f.limits), nil
}

// history reads the earlier visits. Those that are refused go to refused.
func (f *caseFlags) history(ctx context.Context, decoder *record.Decoder, stdin io.Reader, refused func(record.Problems) error) (*history.Tracker, error) {
	tracker := &history.Tracker{}
	if len(f.earlier) == 0 {
		return tracker, nil
	}
	items := record.NewReader(f.earlier, stdin, f.limits).All()
	return tracker, stream.Load(ctx, items, decoder, tracker, refused)
}
