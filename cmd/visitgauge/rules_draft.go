package main

import (
	"context"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/publish"
)

func newRulesDraft() *cobra.Command {
	var folder folderFlag
	var from string
	cmd := &cobra.Command{
		Use:   "draft NEW --from OLD --policies DIR",
		Short: "Copy a release into a draft, to be changed",
		Long: `Copy the folder of a release, whole, into a draft under a higher version, and list
it in releases.yaml. A draft comes into force nowhere and may be changed freely until
it is released. OLD may be a draft too, whose version turned out too low say.

` + publishExitCodes,
		Example: `  visitgauge rules draft 1.1.0 --from 1.0.0 --policies policies`,
		Args:    arguments(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if from == "" {
				return usage("rules draft: --from is missing\nname the release to copy")
			}
			return folder.do(cmd, func(ctx context.Context, f *publish.Folder) error {
				entry, err := f.Draft(ctx, args[0], from)
				if err != nil {
					return err
				}
				where := filepath.Join(folder.policies, entry.Version)
				text := fmt.Sprintf("%s is a draft, copied from %s\n  change  the files in %s\n  then    visitgauge rules check %s\n", entry.Version, from, where, where)
				return emit(cmd.OutOrStdout(), "what was done", []byte(text))
			})
		},
	}
	cmd.Flags().SortFlags = false
	cmd.Flags().StringVar(&from, "from", "", "copy the release `OLD`; must be given")
	folder.add(cmd)
	return cmd
}
