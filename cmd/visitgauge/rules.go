package main

import (
	"strings"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/reports/workshop"
)

// rulesExitCodes is the part of the help of a workshop command that lists them.
const rulesExitCodes = `Exit codes:
  0  fine
  1  there is at least one finding
  2  wrong usage; nothing was done
  3  it could not be done: a release was altered, a file is no release's, a
     record was refused, or the output could not be written`

// rulesSource is the part of the help of a workshop command that says what it
// looks at.
const rulesSource = `RELEASE is a version, or the folder of a release (./1.1.0, where a folder's name is
also a version). Without one it is the newest version that is released. A folder
that stands beside a releases.yaml which lists it is that release: once released, it
is refused if it was altered.`

// newRules is the workshop of whoever keeps the rules.
func newRules() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "rules",
		Short: "Look at, check, try and release the rules themselves",
		Long: `The workshop of whoever keeps the rules: they are files, released as versions.
See policies/README.md for a change from the wish to the release.`,
		SuggestionsMinimumDistance: 2, // edits
		Args:                       knownCommand,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return usage("rules: no command given\n%s", strings.TrimSpace(cmd.UsageString()))
		},
	}
	cmd.AddCommand(newRulesList(), newRulesExplain(), newRulesCheck(), newRulesTest(), newRulesProbe())
	cmd.AddCommand(newRulesDraft(), newRulesCatalogue(), newRulesCompare(), newRulesBundle())
	cmd.AddCommand(newRulesRelease(), newRulesWithdraw())
	return cmd
}

// formatFlag is the form in which a workshop command writes.
type formatFlag struct {
	format string
	known  []workshop.Format
}

// add adds --format, of which the first form known is the default.
func (f *formatFlag) add(cmd *cobra.Command, known ...workshop.Format) {
	f.known = known
	cmd.Flags().StringVar(&f.format, "format", string(known[0]), "write "+f.list())
}

func (f *formatFlag) list() string {
	var words []string
	for _, k := range f.known {
		words = append(words, string(k))
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// write renders what a command found and writes it. Result is what JSON holds,
// page what people read.
func (f *formatFlag) write(cmd *cobra.Command, what string, result any, page func(*workshop.Page)) error {
	data, err := workshop.Render(workshop.Format(f.format), result, page)
	if err != nil {
		return err
	}
	return emit(cmd.OutOrStdout(), what, data)
}

// check refuses a form that the command does not write.
func (f *formatFlag) check() error {
	for _, k := range f.known {
		if string(k) == f.format {
			return nil
		}
	}
	return usage("--format %q: it is %s", f.format, f.list())
}
