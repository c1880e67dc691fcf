package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/publish"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

func newRulesCatalogue() *cobra.Command {
	var folder folderFlag
	cmd := &cobra.Command{
		Use:   "catalogue --policies DIR",
		Short: "Write the catalogue of each draft anew",
		Long: `Write the catalogue.json of each draft, which holds the texts of its rules, from
their metadata, and list every release with its state and digest. It is wanted after
a title, a severity or a wording was changed. Releasing a draft does it too.

` + publishExitCodes,
		Example: `  visitgauge rules catalogue --policies policies`,
		Args:    arguments(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return folder.do(cmd, func(ctx context.Context, f *publish.Folder) error {
				states, err := f.Catalogues(ctx)
				var b strings.Builder
				for _, s := range states {
					fmt.Fprintf(&b, "%s  %s  %s", s.Version, s.State, s.Folder)
					switch {
					case s.Written:
						b.WriteString("  catalogue written")
					case s.State == ruleset.Draft:
						b.WriteString("  catalogue up to date")
					}
					b.WriteByte('\n')
				}
				return errors.Join(err, emit(cmd.OutOrStdout(), "the states", []byte(b.String())))
			})
		},
	}
	folder.add(cmd)
	return cmd
}
