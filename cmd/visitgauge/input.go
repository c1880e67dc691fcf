package main

import (
	"errors"
	"io"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/reports"
)

func newInput() *cobra.Command {
	var flags caseFlags
	cmd := &cobra.Command{
		Use:   "input RECORD",
		Short: "Print the document that the rules see",
		Long: `Print, for one record, the document that the rules see: the visit, what earlier
visits left behind for it, and when it was received. With it anyone can evaluate a
release without this program, and compare. RECORD is a file, or - for standard
input.

Exit codes are 0, 2 for wrong usage, and 3 if a record could not be read.`,
		Args: arguments(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error { return flags.printInput(cmd, args[0]) },
	}
	flags.add(cmd.Flags())
	return cmd
}

// printInput prints the input made of the one record at path.
func (f *caseFlags) printInput(cmd *cobra.Command, path string) error {
	if err := f.check([]string{path}); err != nil {
		return err
	}
	decoder, err := f.decoder()
	if err != nil {
		return err
	}
	words := reports.NewJSON(io.Discard, cmd.ErrOrStderr(), reports.JSONOptions{})
	refusedEarlier := false
	earlier, err := f.history(cmd.Context(), decoder, cmd.InOrStdin(), func(ps record.Problems) error {
		refusedEarlier = true
		return words.Refused(refusal(ps, true))
	})
	if err != nil {
		return err
	}
	var found *record.Item
	for item := range record.NewReader([]string{path}, cmd.InOrStdin(), f.limits).All() {
		if found != nil {
			return usage("input: %s holds more than one record\nname a file of one, or hand in one line", path)
		}
		found = &item
	}
	err = found.Err
	var rec *record.Record
	if err == nil {
		rec, err = decoder.Decode(found.Source, found.FirstLine, found.Data)
	}
	var problems record.Problems
	if errors.As(err, &problems) {
		if err := words.Refused(refusal(problems, false)); err != nil {
			return err
		}
		return &exitError{code: exitUnjudged}
	}
	if err != nil {
		return err
	}
	data, err := judge.Input(judge.Case{Record: rec, Earlier: earlier.Earlier(rec), Received: f.received})
	if err != nil {
		return err
	}
	if err := emit(cmd.OutOrStdout(), "input", data); err != nil {
		return err
	}
	if refusedEarlier {
		return &exitError{code: exitUnjudged}
	}
	return nil
}
