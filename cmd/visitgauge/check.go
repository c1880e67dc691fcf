package main

import (
	"runtime"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
)

// checkFlags are the flags of check.
type checkFlags struct {
	caseFlags
	ruleFlags
	tellFlags
	concessions []string
	workers     int
	intake      intakeFlags
}

func newCheck() *cobra.Command {
	var flags checkFlags
	cmd := &cobra.Command{
		Use:   "check [FILE|DIR|-]…",
		Short: "Judge visits: is each accepted, and in what state is the machine?",
		Long: `Judge the records of maintenance visits, in the order in which they are handed in.

A FILE is one JSON record if its name ends in .json, else JSON Lines, one record a
line, or a single record printed over several lines. A DIR is its .json and .jsonl
files, sorted by name, and those of its folders. Standard input (-, or no argument)
is read as a FILE of no such name. A record that is refused does not stop the others.

A visit is compared with the earlier visits of its machine: those that --earlier
names, and those that stood before it in the input. Hand visits in oldest first:
of each machine the four latest are kept whole, and of those before them the latest
service, meters and battery readings and what they left open.

With --archive, the earlier visits are all those of the machine in the archive,
whatever the order they were handed in, and each visit is kept there with its verdict
before it is told of. The same bytes again change nothing; other bytes under an id
that is there are refused unless they are a correction (--corrects and what follows).
Later visits that are compared with what was handed in are judged again, by the
release that judged them; both verdicts stay, and it is told on standard error.

A visit needs attention when it is not accepted, or when the machine is not
serviceable. The last line counts both answers, whatever else is shown.

` + formatsHelp() + `

` + exitCodes + `

If the output is closed by its reader, as by head, the run ends and says nothing.
Ctrl-C ends it once the visits that were begun are judged and told; a second one
ends it at once. What --output names is then left as it was.`,
		Example: `  visitgauge check visits/
  visitgauge check --earlier archive.jsonl --received 2026-05-04T17:00:00+02:00 today.json
  visitgauge check --format json --fail-on unserviceable < today.jsonl > verdicts.jsonl
  visitgauge check --format junit --output visits.xml visits/
  visitgauge check --archive visits.archive --received 2026-05-04T17:00:00+02:00 today/`,
		Args: arguments(0, -1),
		RunE: func(cmd *cobra.Command, args []string) error { return flags.run(cmd, args) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.ruleFlags.add(f)
	flags.caseFlags.add(f)
	flags.intake.add(f)
	f.StringArrayVar(&flags.concessions, "concessions", nil,
		"apply the concessions in `PATH`, a file or a directory of .json files; may be repeated")
	flags.tellFlags.add(f)
	f.IntVar(&flags.workers, "workers", runtime.GOMAXPROCS(0), "judge `N` visits at a time")
	return cmd
}

// check refuses values that cannot be, and fills in what depends on others.
func (f *checkFlags) check(paths []string) error {
	if err := f.caseFlags.check(paths); err != nil {
		return err
	}
	if err := f.intake.check(f.earlier); err != nil {
		return err
	}
	if f.workers < 1 {
		return usage("--workers must be 1 or more")
	}
	return f.tellFlags.check()
}

// run judges the records at the paths.
func (f *checkFlags) run(cmd *cobra.Command, paths []string) error {
	if len(paths) == 0 {
		if isTerminal(cmd.InOrStdin()) {
			return usage("check: no record named\nname files or directories, or hand records in on standard input")
		}
		paths = []string{"-"}
	}
	if err := f.check(paths); err != nil {
		return err
	}
	rules, err := f.rules()
	if err != nil {
		return err
	}
	concessions, err := readConcessions(f.concessions)
	if err != nil {
		return usage("%w", err)
	}
	decoder, err := f.decoder()
	if err != nil {
		return err
	}
	ctx, stop := interruptible(cmd)
	defer stop()

	t, err := f.open(cmd, false)
	if err != nil {
		return err
	}
	defer t.bar.end()
	items := record.NewReader(paths, cmd.InOrStdin(), f.limits).All()
	opt := stream.Options{
		Decoder:     decoder,
		Rules:       rules,
		Received:    f.received,
		Concessions: concessions,
		Sheets:      t.sheets,
		Workers:     f.workers,
	}
	if f.intake.path != "" {
		err = f.intake.run(ctx, items, opt, t)
	} else if t.earlier != nil && len(f.earlier) > 0 {
		opt.History = &history.Tracker{}
		before := record.NewReader(f.earlier, cmd.InOrStdin(), f.limits).All()
		if err = stream.LoadSheets(ctx, before, opt, t.refusedEarlier, t.earlier); err == nil {
			err = stream.Run(ctx, items, opt, t.tell)
		}
	} else if opt.History, err = f.history(ctx, decoder, cmd.InOrStdin(), t.refusedEarlier); err == nil {
		err = stream.Run(ctx, items, opt, t.tell)
	}
	if err := t.end(err); err != nil {
		return err
	}
	return f.tellFlags.verdict(t.summary)
}
