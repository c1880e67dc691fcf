package main

import (
	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/archive"
	words "github.com/visitgauge/visitgauge/reports/archive"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// archiveShowFlags are the flags of archive show.
type archiveShowFlags struct {
	archiveFlag
	formatFlag
	bytes string
}

func newArchiveShow() *cobra.Command {
	var flags archiveShowFlags
	cmd := &cobra.Command{
		Use:   "show --archive FILE ID",
		Short: "Show all entries about a visit, or the bytes of one",
		Long: `Show all that an archive has of the visit ID, in order: versions, verdicts,
dispositions and redactions. With --bytes, write the record, verdict or concession of
a digest that they name, byte for byte.

` + archiveExitCodes,
		Args: arguments(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error { return flags.run(cmd, args[0]) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.archiveFlag.add(f)
	f.StringVar(&flags.bytes, "bytes", "", "write the bytes of `DIGEST`, sha256:…")
	flags.formatFlag.add(cmd, workshop.Text, workshop.JSON)
	return cmd
}

func (f *archiveShowFlags) run(cmd *cobra.Command, id string) error {
	if err := f.formatFlag.check(); err != nil {
		return err
	}
	return f.with(cmd.Context(), archive.Options{ReadOnly: true}, func(a *archive.Archive) error {
		v, err := a.Visit(cmd.Context(), id)
		if err != nil {
			return err
		}
		if f.bytes == "" {
			shown := words.NewShown(v)
			return f.write(cmd, "visit", shown, shown.Page)
		}
		if !v.Names(f.bytes) {
			return usage("--bytes %q: no entry of visit %q names it\nsee archive show %s for those that do", f.bytes, id, id)
		}
		data, err := a.Bytes(cmd.Context(), f.bytes)
		if err != nil {
			return err
		}
		return emit(cmd.OutOrStdout(), "bytes", data)
	})
}
