package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"github.com/visitgauge/visitgauge/engine/archive"
	words "github.com/visitgauge/visitgauge/reports/archive"
	"github.com/visitgauge/visitgauge/reports/workshop"
	"github.com/visitgauge/visitgauge/schema"
)

// filterFlags choose visits.
type filterFlags struct{ archive.Filter }

func (f *filterFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.From, "from", "", "only visits that started on this `DAY` or later, where they started")
	flags.StringVar(&f.To, "to", "", "only visits that started on this `DAY` or earlier")
	flags.StringSliceVar(&f.Sites, "site", nil, "only visits at these `SITES`")
	flags.StringSliceVar(&f.Serials, "machine", nil, "only visits to machines of these serial `NUMBERS`")
	flags.StringSliceVar(&f.Classes, "class", nil, "only visits to machines of these `CLASSES`")
	flags.StringSliceVar(&f.Releases, "judged-by", nil, "only visits whose latest verdict is by one of these `RELEASES`")
}

func (f *filterFlags) check() error {
	for flag, day := range map[string]string{"from": f.From, "to": f.To} {
		if day == "" {
			continue
		}
		if _, err := schema.ParseDate(day); err != nil {
			return usage("--%s %q: it %w\nwrite it as 2026-05-04", flag, day, err)
		}
	}
	return nil
}

// archiveListFlags are the flags of archive list.
type archiveListFlags struct {
	archiveFlag
	filterFlags
	formatFlag
	retention, on string
}

func newArchiveList() *cobra.Command {
	var flags archiveListFlags
	cmd := &cobra.Command{
		Use:   "list --archive FILE",
		Short: "List the visits of an archive",
		Long: `List the visits of an archive in the order in which they were first handed in, each
in the version that stands, with what came of it.

With --past-retention, list those that are kept longer than a document says, on a day:
see "visitgauge schema retention". They are listed, not redacted; the exit code is 1
if there are any.

` + archiveExitCodes,
		Example: `  visitgauge archive list --archive visits.archive --machine WB-1107
  visitgauge archive list --archive visits.archive --past-retention retention.yaml --on 2030-01-01`,
		Args: arguments(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error { return flags.run(cmd) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.archiveFlag.add(f)
	flags.filterFlags.add(f)
	f.StringVar(&flags.retention, "past-retention", "", "only visits that are past what `DOCUMENT` says; needs --on")
	f.StringVar(&flags.on, "on", "", "the `DAY` for --past-retention")
	flags.formatFlag.add(cmd, workshop.Text, workshop.JSON)
	return cmd
}

func (f *archiveListFlags) run(cmd *cobra.Command) error {
	if err := f.formatFlag.check(); err != nil {
		return err
	}
	if err := f.filterFlags.check(); err != nil {
		return err
	}
	past, err := f.past()
	if err != nil {
		return err
	}
	about := "in the archive"
	if past != nil {
		about = "past retention on " + f.on
	}
	list := words.NewList(about)
	err = f.with(cmd.Context(), archive.Options{ReadOnly: true}, func(a *archive.Archive) error {
		for v, err := range a.Visits(cmd.Context(), f.Filter) {
			if err != nil {
				return err
			}
			why, is := "", true
			if past != nil {
				why, is = past.Past(v, f.on)
			}
			if is {
				list.Add(v, why)
			}
		}
		return f.write(cmd, "list", list, list.Page)
	})
	if err == nil && past != nil && len(list.Visits) > 0 {
		return &exitError{code: exitFailed}
	}
	return err
}

// past is the retention that was asked for, or nil.
func (f *archiveListFlags) past() (*archive.Retention, error) {
	switch {
	case f.retention == "" && f.on == "":
		return nil, nil
	case f.retention == "" || f.on == "":
		return nil, usage("--past-retention and --on go together")
	}
	if _, err := schema.ParseDate(f.on); err != nil {
		return nil, usage("--on %q: it %w\nwrite it as 2026-05-04", f.on, err)
	}
	data, err := os.ReadFile(f.retention)
	if err != nil {
		return nil, usage("--past-retention: %w", err)
	}
	r, err := archive.ReadRetention(f.retention, data)
	if err != nil {
		return nil, fmt.Errorf("--past-retention: %w", err)
	}
	return &r, nil
}
