package main

import (
	"context"
	"io"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/compare"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/reports"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// rulesCompareFlags are the flags of rules compare.
type rulesCompareFlags struct {
	formatFlag
	policies   string
	visits     []string
	expectNone bool
}

func newRulesCompare() *cobra.Command {
	var flags rulesCompareFlags
	cmd := &cobra.Command{
		Use:   "compare OLD NEW",
		Short: "Say what differs in meaning between two releases, and what it does",
		Long: `Say what differs in meaning between two releases: rules, limits, steps, classes,
units. Comments, layout and the order of rules make no difference. Every rule that
differs, or reads something that does, answers for its examples in both releases, so
that stricter and looser are found and not read off. OLD and NEW are versions, or
folders of releases. Records among the visits that are refused are told of on
standard error.

As markdown it is a change notice to send out. As JSON it is a document of schema
rules-difference/1.

` + rulesExitCodes,
		Example: `  visitgauge rules compare 1.0.0 1.1.0
  visitgauge rules compare 1.0.0 ./policies/1.1.0 --visits archive/ --format markdown > notice.md`,
		Args: arguments(2, 2),
		RunE: func(cmd *cobra.Command, args []string) error { return flags.run(cmd, args[0], args[1]) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&flags.policies, "policies", "", "take versions from `DIR`, which holds releases.yaml (default: those built in)")
	f.StringArrayVar(&flags.visits, "visits", nil,
		"judge the visits in `PATH` by both, a directory or a file as for check, oldest first; may be repeated")
	f.BoolVar(&flags.expectNone, "expect-none", false, "end with exit code 1 if anything differs")
	flags.formatFlag.add(cmd, workshop.Text, workshop.Markdown, workshop.JSON)
	return cmd
}

func (f *rulesCompareFlags) run(cmd *cobra.Command, old, now string) error {
	if err := f.formatFlag.check(); err != nil {
		return err
	}
	ctx, stop := interruptible(cmd)
	defer stop()
	a, err := f.side(ctx, old)
	if err != nil {
		return err
	}
	b, err := f.side(ctx, now)
	if err != nil {
		return err
	}
	var cases caseFlags
	shown := newStages(cmd.ErrOrStderr())
	defer shown.end()
	opt := compare.Options{Progress: func(done, of int) { shown.step("trying rules", done, of) }}
	if opt.Decoder, err = cases.decoder(); err != nil {
		return err
	}
	if len(f.visits) > 0 {
		opt.Visits = record.NewReader(f.visits, cmd.InOrStdin(), cases.limits).All()
		words := reports.NewJSON(io.Discard, cmd.ErrOrStderr(), reports.JSONOptions{})
		opt.Refused = func(ps record.Problems) error { return words.Refused(refusal(ps, false)) }
	}
	found, err := compare.Compare(ctx, a, b, opt)
	if err != nil {
		return err
	}
	shown.end()
	page := workshop.Difference{Difference: found}.Page
	if f.format == string(workshop.Markdown) {
		page = workshop.Difference{Difference: found}.Notice
	}
	if err := f.write(cmd, "difference", found, page); err != nil {
		return err
	}
	if found.Visits != nil && found.Visits.Refused > 0 {
		return &exitError{code: exitUnjudged}
	}
	if f.expectNone && found.Differs() {
		return &exitError{code: exitFailed}
	}
	return nil
}

// side loads one of the releases.
func (f *rulesCompareFlags) side(ctx context.Context, argument string) (compare.Side, error) {
	from, err := namedSource(argument, f.policies)
	if err != nil {
		return compare.Side{}, err
	}
	return compareSide(ctx, from)
}

// compareSide loads a source to be compared.
func compareSide(ctx context.Context, from source) (compare.Side, error) {
	set, err := from.load(ctx, false)
	if err != nil {
		return compare.Side{}, err
	}
	return compare.Side{Name: from.name(), Entry: from.entry, Files: from.files, Set: set}, nil
}
