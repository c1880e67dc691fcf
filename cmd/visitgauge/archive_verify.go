package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/archive"
	words "github.com/visitgauge/visitgauge/reports/archive"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// archiveVerifyFlags are the flags of archive verify.
type archiveVerifyFlags struct {
	archiveFlag
	formatFlag
	checkpoints, public []string
}

func newArchiveVerify() *cobra.Command {
	var flags archiveVerifyFlags
	cmd := &cobra.Command{
		Use:   "verify --archive FILE",
		Short: "Find what was changed, removed, moved or put in",
		Long: `Compute anew the hashes of all entries, of the tree and of all bytes, and hold them
against those that are kept. What is not as it was written is named, and the exit code
is 1. Redactions are listed and are no finding.

Whoever can write the file can write all of it anew, with its hashes, or cut off the
end. A checkpoint that was kept elsewhere shows that: give it with --checkpoint, and
the key of whoever signed it with --public.

` + archiveExitCodes,
		Args: arguments(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error { return flags.run(cmd) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.archiveFlag.add(f)
	f.StringArrayVar(&flags.checkpoints, "checkpoint", nil, "hold the archive against the checkpoint in `FILE`; may be repeated")
	f.StringArrayVar(&flags.public, "public", nil, "take only checkpoints signed with the public key in `FILE`; may be repeated")
	flags.formatFlag.add(cmd, workshop.Text, workshop.JSON)
	return cmd
}

func (f *archiveVerifyFlags) run(cmd *cobra.Command) error {
	if err := f.formatFlag.check(); err != nil {
		return err
	}
	keys, err := readKeys(f.public)
	if err != nil {
		return err
	}
	if len(keys) > 0 && len(f.checkpoints) == 0 {
		return usage("--public is of the checkpoints that --checkpoint names, and none is named")
	}
	var checkpoints []archive.Checkpoint
	for _, path := range f.checkpoints {
		data, err := os.ReadFile(path)
		if err != nil {
			return usage("--checkpoint: %w", err)
		}
		c, err := archive.ReadCheckpoint(data, keys)
		if err != nil {
			return fmt.Errorf("--checkpoint %s: %w", path, err)
		}
		checkpoints = append(checkpoints, c)
	}
	return f.with(cmd.Context(), archive.Options{ReadOnly: true}, func(a *archive.Archive) error {
		v, err := a.Verify(cmd.Context(), checkpoints...)
		if err != nil {
			return err
		}
		result := words.NewVerified(v)
		if err := f.write(cmd, "verification", result, result.Page); err != nil {
			return err
		}
		if !result.AsWritten {
			return &exitError{code: exitFailed}
		}
		return nil
	})
}
