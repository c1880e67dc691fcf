package main

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/intake"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/reports"
)

// changeFlags say that a visit corrects one that is in the archive.
type changeFlags struct {
	corrects, evidence string
	decisionFlags
}

func (f *changeFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.corrects, "corrects", "", "the one visit handed in corrects the version of this `DIGEST`; needs the four below")
	f.decisionFlags.add(flags)
	flags.StringVar(&f.evidence, "evidence", "", "what shows that the correction is right, in a `SENTENCE`")
}

// change is what the flags say, or nil.
func (f *changeFlags) change() (*archive.Change, error) {
	if f.corrects == "" {
		if f.by+f.on+f.reason+f.evidence != "" {
			return nil, usage("--by, --on, --reason and --evidence are of a correction\nname with --corrects the digest of what is corrected")
		}
		return nil, nil
	}
	return &archive.Change{Corrects: f.corrects, By: f.by, On: f.on, Reason: f.reason, Evidence: f.evidence}, nil
}

// archiveAddFlags are the flags of archive add.
type archiveAddFlags struct {
	archiveFlag
	changeFlags
	create   bool
	received string
	policies string
	limits   record.Limits
}

func newArchiveAdd() *cobra.Command {
	var flags archiveAddFlags
	cmd := &cobra.Command{
		Use:   "add --archive FILE [FILE|DIR|-]…",
		Short: "Archive visits without judging them",
		Long: `Archive the records of visits, byte for byte, in the order in which they are handed
in. FILE, DIR and - are as for check. A record that is refused does not stop the
others. A line is printed for each visit once it is on the disk.

The same bytes again change nothing. Other bytes under the id of a visit that is
there are refused, unless they are handed in as a correction: both versions stay, and
the later one stands.

Later visits of the machine that are compared with what was added are judged again, by
the release that judged them, and both verdicts stay.

` + archiveExitCodes,
		Example: `  visitgauge archive add --archive visits.archive --create visits/
  visitgauge archive add --archive visits.archive --corrects sha256:… --by lead-02 \
      --on 2026-05-05 --reason "wrong machine" --evidence "photo of the plate" V-0412.json`,
		Args: arguments(0, -1),
		RunE: func(cmd *cobra.Command, args []string) error { return flags.run(cmd, args) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.archiveFlag.add(f)
	f.BoolVar(&flags.create, "create", false, "make the archive if there is none")
	f.StringVar(&flags.received, "received", "", "the `TIME` at which the records were received, as 2026-05-04T17:00:00+02:00")
	flags.changeFlags.add(f)
	f.StringVar(&flags.policies, "policies", "", "find the releases that judged later visits in `DIR` (default: those built in)")
	f.Int64Var(&flags.limits.Bytes, "max-bytes", record.DefaultBytes, "refuse a record of more than `N` bytes")
	return cmd
}

func (f *archiveAddFlags) run(cmd *cobra.Command, paths []string) error {
	read := caseFlags{received: f.received, limits: f.limits}
	read.limits.Depth = record.DefaultDepth
	if len(paths) == 0 {
		paths = []string{"-"}
	}
	if err := read.check(paths); err != nil {
		return err
	}
	change, err := f.change()
	if err != nil {
		return err
	}
	decoder, err := read.decoder()
	if err != nil {
		return err
	}
	rules, err := (&ruleFlags{policies: f.policies}).rules()
	if err != nil {
		return err
	}
	ctx, stop := interruptible(cmd)
	defer stop()
	refusedAny := false
	words := reports.NewJSON(io.Discard, cmd.ErrOrStderr(), reports.JSONOptions{})
	err = f.with(ctx, archive.Options{Create: f.create}, func(a *archive.Archive) error {
		opt := intake.Options{Archive: a, Correction: change}
		opt.Decoder, opt.Rules, opt.Received = decoder, rules, f.received
		items := record.NewReader(paths, cmd.InOrStdin(), read.limits).All()
		return intake.Add(ctx, items, opt, func(t intake.Told) error {
			if t.Problems != nil {
				refusedAny = true
				return words.Refused(refusal(t.Problems, false))
			}
			if t.Added.Already {
				return told(cmd, "%s: there already, as entry %d", t.Added.Entry.Visit, t.Added.Entry.Index)
			}
			return told(cmd, "%s: entry %d, %s", t.Added.Entry.Visit, t.Added.Entry.Index, t.Added.Entry.Record)
		}, func(a intake.Again) error { return tellAgain(cmd.OutOrStdout(), a) })
	})
	if errors.Is(err, stream.ErrInterrupted) {
		return fmt.Errorf("archive add was interrupted; what was told of is in the archive: %w", err)
	}
	if err == nil && refusedAny {
		return &exitError{code: exitUnjudged}
	}
	return err
}

// tellAgain tells of a visit that was judged again.
func tellAgain(to io.Writer, a intake.Again) error {
	line := fmt.Sprintf("%s was judged again, since %s: ", a.Visit, a.Why)
	is := fmt.Sprintf("%s, %s", a.Is.Acceptance, a.Is.Serviceability)
	was := fmt.Sprintf("%s, %s", a.Was.Acceptance, a.Was.Serviceability)
	switch {
	case a.Not != "":
		line = fmt.Sprintf("%s was not judged again, though %s: %s", a.Visit, a.Why, a.Not)
	case a.Is.Verdict == a.Was.Verdict:
		line += "the verdict is as before"
	case is == was:
		line += is + ", as before, in another verdict"
	default:
		line += is + "; before: " + was
	}
	return emit(to, "report", []byte(line+"\n"))
}

// refusedByArchive gives a refusal of the archive its exit code.
func refusedByArchive(err error) error {
	var r *archive.Refusal
	if errors.As(err, &r) {
		return &exitError{code: exitFailed, err: err}
	}
	return err
}
