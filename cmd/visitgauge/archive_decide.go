package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/archive"
)

// archiveDisposeFlags are the flags of archive dispose.
type archiveDisposeFlags struct {
	archiveFlag
	decisionFlags
	what string
}

func newArchiveDispose() *cobra.Command {
	var flags archiveDisposeFlags
	var known []string
	for _, w := range archive.Whats() {
		known = append(known, string(w))
	}
	cmd := &cobra.Command{
		Use:   "dispose --archive FILE ID",
		Short: "Say what is done about a visit that was not accepted",
		Long: `Add to the archive what is done about the visit ID, whose latest verdict is rejected
or incomplete: repeat the visit, correct the record, concede it, or accept as lost
what cannot be had any more. A later disposition takes the place of an earlier one;
both stay.

` + archiveExitCodes,
		Example: `  visitgauge archive dispose --archive visits.archive V-0106 --what repeat \
      --by lead-02 --on 2026-05-05 --reason "no cell was read"`,
		Args: arguments(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(known, flags.what) {
				return usage("--what %q: it is one of %s", flags.what, strings.Join(known, ", "))
			}
			return flags.with(cmd.Context(), archive.Options{}, func(a *archive.Archive) error {
				added, err := a.Dispose(cmd.Context(), args[0], archive.What(flags.what), flags.decision())
				if err != nil {
					return err
				}
				return told(cmd, "%s: entry %d, %s", args[0], added.Entry.Index, flags.what)
			})
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.archiveFlag.add(f)
	f.StringVar(&flags.what, "what", "", fmt.Sprintf("what is done, one `WORD` of %s", strings.Join(known, ", ")))
	flags.decisionFlags.add(f)
	return cmd
}

// archiveRedactFlags are the flags of archive redact.
type archiveRedactFlags struct {
	archiveFlag
	decisionFlags
}

func newArchiveRedact() *cobra.Command {
	var flags archiveRedactFlags
	cmd := &cobra.Command{
		Use:   "redact --archive FILE ID",
		Short: "Take away the bytes of a visit, for good",
		Long: `Take away the bytes of all versions and verdicts of the visit ID and overwrite them
in the file. This cannot be undone. The entries stay with their hashes, so that the
archive can still be verified, and say who decided it and why; ids, days and digests
stand in them. Copies of the file elsewhere are not reached, and no later visit is
judged again for it.

` + archiveExitCodes,
		Example: `  visitgauge archive redact --archive visits.archive V-0106 \
      --by lead-02 --on 2030-01-05 --reason "past retention"`,
		Args: arguments(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return flags.with(cmd.Context(), archive.Options{}, func(a *archive.Archive) error {
				added, err := a.Redact(cmd.Context(), args[0], flags.decision())
				switch {
				case err != nil:
					return err
				case added.Already:
					return told(cmd, "%s: redacted already, by entry %d", args[0], added.Entry.Index)
				}
				return told(cmd, "%s: entry %d, redacted", args[0], added.Entry.Index)
			})
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.archiveFlag.add(f)
	flags.decisionFlags.add(f)
	return cmd
}
