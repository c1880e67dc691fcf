package main

import (
	"errors"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/archive"
)

// archiveExportFlags are the flags of archive export.
type archiveExportFlags struct {
	archiveFlag
	output string
}

func newArchiveExport() *cobra.Command {
	var flags archiveExportFlags
	cmd := &cobra.Command{
		Use:   "export --archive FILE --output DIR",
		Short: "Write all that an archive holds into files",
		Long: `Write all that an archive holds into a new folder, in forms that need no program of
ours: entries.jsonl, one entry a line, in order; records/, verdicts/ and concessions/,
each byte for byte, called by the number of the entry that adds them; checkpoint.txt.
The folder gets its name once it is whole. records/ can be handed to check as it is.

` + archiveExitCodes,
		Args: arguments(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error { return flags.run(cmd) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.archiveFlag.add(f)
	f.StringVar(&flags.output, "output", "", "write to the folder `DIR`, which must be new or empty")
	return cmd
}

func (f *archiveExportFlags) run(cmd *cobra.Command) error {
	if err := f.check(); err != nil {
		return err
	}
	if f.output == "" {
		return usage("archive export: name a folder with --output")
	}
	return f.with(cmd.Context(), archive.Options{ReadOnly: true}, func(a *archive.Archive) error {
		out, err := newFolder(f.output)
		if err != nil {
			return err
		}
		x, err := a.Export(cmd.Context(), out.temp)
		if err != nil {
			return errors.Join(err, out.drop())
		}
		if err := out.keep(); err != nil {
			return err
		}
		return told(cmd, "%d entries: %d records, %d verdicts, %d concessions; %d redacted", x.Entries, x.Records, x.Verdicts, x.Concessions, x.Redacted)
	})
}
