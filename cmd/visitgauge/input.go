package main

import (
	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/judge"
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
	one, err := f.one(cmd, path)
	if err != nil {
		return err
	}
	data, err := judge.Input(one.Case)
	if err != nil {
		return err
	}
	return one.end(emit(cmd.OutOrStdout(), "input", data))
}
