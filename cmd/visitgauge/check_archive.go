package main

import (
	"context"
	"iter"

	"github.com/spf13/pflag"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/intake"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
)

// intakeFlags say that visits are judged against an archive, and kept in it.
type intakeFlags struct {
	archiveFlag
	changeFlags
	create bool
}

func (f *intakeFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.path, "archive", "", "compare with the machine's earlier visits in the archive `FILE`, and keep visit and verdict there")
	flags.BoolVar(&f.create, "create", false, "make the archive if there is none")
	f.changeFlags.add(flags)
}

// check refuses values that cannot be.
func (f *intakeFlags) check(earlier []string) error {
	change, err := f.change()
	switch {
	case err != nil:
		return err
	case f.path == "" && (change != nil || f.create):
		return usage("--corrects and --create are of an archive\nname it with --archive")
	case f.path != "" && len(earlier) > 0:
		return usage("--archive and --earlier both name earlier visits\nadd the earlier ones to the archive first: archive add")
	}
	return nil
}

// run judges the items and keeps them.
func (f *intakeFlags) run(ctx context.Context, items iter.Seq[record.Item], opt stream.Options, t *teller) error {
	change, err := f.change()
	if err != nil {
		return err
	}
	// What was begun is finished, so the archive must outlive the interruption.
	return f.with(context.WithoutCancel(ctx), archive.Options{Create: f.create}, func(a *archive.Archive) error {
		return intake.Check(ctx, items, intake.Options{Options: opt, Archive: a, Correction: change}, t.tell,
			func(again intake.Again) error { return tellAgain(t.aside, again) })
	})
}
