package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
)

// run is the program: it returns the exit code.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	root := newRoot()
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	return exitCode(root.ExecuteContext(ctx), stderr)
}

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "visitgauge",
		Short: "Judge maintenance visits by released rules",
		Long: `visitgauge reads the records of maintenance visits to battery floor scrubbers and
says of each whether the visit is accepted and in what state it left the machine,
with every reason. It defers to local codes, to the manuals of machine and battery,
and to qualified persons.`,
		SilenceErrors:              true,
		SilenceUsage:               true,
		SuggestionsMinimumDistance: 2, // edits
		CompletionOptions:          cobra.CompletionOptions{DisableDefaultCmd: true},
		Args:                       knownCommand,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return usage("no command given\n%s", strings.TrimSpace(cmd.UsageString()))
		},
	}
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return usage("%s: %w\nsee %s --help", cmd.Name(), err, cmd.CommandPath())
	})
	root.AddCommand(newCheck(), newReport(), newArchive(), newReplay(), newSchema(), newInput(), newRules())
	return root
}

// knownCommand refuses the name of a command that is not there.
func knownCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	hint := "see " + cmd.CommandPath() + " --help"
	if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
		hint = "did you mean " + strings.Join(near, " or ") + "?"
	}
	return usage("there is no command %q\n%s", strings.TrimPrefix(cmd.CommandPath()+" "+args[0], "visitgauge "), hint)
}

// arguments demands from least to most arguments; most below zero means any
// number.
func arguments(least, most int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) >= least && (most < 0 || len(args) <= most) {
			return nil
		}
		return usage("%s: %d arguments\nusage: %s", cmd.Name(), len(args), cmd.UseLine())
	}
}

// emit writes the whole output of a command.
func emit(to io.Writer, what string, data []byte) error {
	if _, err := to.Write(data); err != nil {
		return fmt.Errorf("writing %s: %w", what, err)
	}
	return nil
}
