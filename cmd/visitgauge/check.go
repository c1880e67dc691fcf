package main

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"runtime"
	"slices"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports"
)

// What --show and --fail-on take.
const (
	showAttention = "attention"
	showAll       = "all"

	failNotAccepted   = "not-accepted"
	failUnserviceable = string(verdict.Unserviceable)
	failUndetermined  = string(verdict.Undetermined)
)

// checkFlags are the flags of check.
type checkFlags struct {
	caseFlags
	ruleFlags
	concessions []string
	format      string
	show        string
	failOn      []string
	workers     int
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

A visit needs attention when it is not accepted, or when the machine is not
serviceable. The last line counts both answers, whatever else is shown.

` + exitCodes + `

If the output is closed by its reader, as by head, the run ends and says nothing.
Ctrl-C ends it once the visits that were begun are judged and told; a second one
ends it at once.`,
		Example: `  visitgauge check visits/
  visitgauge check --earlier archive.jsonl --received 2026-05-04T17:00:00+02:00 today.json
  visitgauge check --format json --fail-on unserviceable < today.jsonl > verdicts.jsonl`,
		Args: arguments(0, -1),
		RunE: func(cmd *cobra.Command, args []string) error { return flags.run(cmd, args) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.ruleFlags.add(f)
	flags.caseFlags.add(f)
	f.StringArrayVar(&flags.concessions, "concessions", nil,
		"apply the concessions in `PATH`, a file or a directory of .json files; may be repeated")
	f.StringVar(&flags.format, "format", "text", "write `text`, or json: one canonical verdict a line")
	f.StringVar(&flags.show, "show", "",
		"tell of visits that need `attention` only, or of all with every outcome (default: attention as text, all as json)")
	f.StringSliceVar(&flags.failOn, "fail-on", []string{failNotAccepted},
		"exit with 1 on these: not-accepted holds always, unserviceable and undetermined can be added")
	f.IntVar(&flags.workers, "workers", runtime.GOMAXPROCS(0), "judge `N` visits at a time")
	return cmd
}

// check refuses values that cannot be, and fills in what depends on others.
func (f *checkFlags) check(paths []string) error {
	if err := f.caseFlags.check(paths); err != nil {
		return err
	}
	if f.workers < 1 {
		return usage("--workers must be 1 or more")
	}
	if !slices.Contains([]string{"text", "json"}, f.format) {
		return usage("--format %q: it is text or json", f.format)
	}
	if f.show == "" {
		f.show = showAttention
		if f.format == "json" {
			f.show = showAll
		}
	}
	if !slices.Contains([]string{showAttention, showAll}, f.show) {
		return usage("--show %q: it is attention or all", f.show)
	}
	known := []string{failNotAccepted, failUnserviceable, failUndetermined}
	for _, word := range f.failOn {
		if !slices.Contains(known, word) {
			return usage("--fail-on %q: it is any of %s", word, strings.Join(known, ", "))
		}
	}
	return nil
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
	ctx, stop := signal.NotifyContext(cmd.Context(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // the second Ctrl-C ends at once

	bar := newProgress(cmd.ErrOrStderr())
	defer bar.end()
	t := &teller{report: f.report(cmd, bar), all: f.show == showAll, bar: bar}
	tracker, err := f.history(ctx, decoder, cmd.InOrStdin(), t.refusedEarlier)
	if err == nil {
		err = stream.Run(ctx, record.NewReader(paths, cmd.InOrStdin(), f.limits).All(), stream.Options{
			Decoder:     decoder,
			Rules:       rules,
			History:     tracker,
			Received:    f.received,
			Concessions: concessions,
			Workers:     f.workers,
		}, t.tell)
	}
	if err := t.end(err); err != nil {
		return err
	}
	return f.verdict(t.summary)
}

// report is the report that the flags name.
func (f *checkFlags) report(cmd *cobra.Command, bar *progress) reports.Report {
	out := bar.aside(cmd.OutOrStdout())
	if f.format == "json" {
		return reports.NewJSON(out, bar.aside(cmd.ErrOrStderr()))
	}
	return reports.NewText(out, reports.TextOptions{
		All:   f.show == showAll,
		Color: wantsColor(cmd.OutOrStdout()),
	})
}

// verdict is the error that the exit code comes from; nil for 0.
func (f *checkFlags) verdict(s reports.Summary) error {
	t := s.Tally
	switch {
	case s.Stopped != "" || s.Refused > 0 || s.RefusedEarlier > 0:
		return &exitError{code: exitUnjudged}
	case t.Accepted < t.Visits,
		slices.Contains(f.failOn, failUnserviceable) && t.Unserviceable > 0,
		slices.Contains(f.failOn, failUndetermined) && t.Undetermined > 0:
		return &exitError{code: exitFailed}
	}
	return nil
}

// teller tells a report of results, and counts them.
type teller struct {
	report  reports.Report
	all     bool
	bar     *progress
	summary reports.Summary
}

func (t *teller) tell(r stream.Result) error {
	defer t.bar.step()
	if r.Verdict == nil {
		t.summary.Refused++
		return t.report.Refused(refusal(r.Problems, false))
	}
	t.summary.Tally.Add(r.Verdict)
	if !t.all && !r.Verdict.NeedsAttention {
		return nil
	}
	return t.report.Visit(reports.Visit{Verdict: r.Verdict, Source: r.Source, Place: r.Record.Position})
}

func (t *teller) refusedEarlier(ps record.Problems) error {
	t.summary.RefusedEarlier++
	return t.report.Refused(refusal(ps, true))
}

// end ends the report after a run that ended with err, and returns what is still
// to be told.
func (t *teller) end(err error) error {
	switch {
	case err == nil:
	case errors.Is(err, stream.ErrInterrupted):
		t.summary.Stopped = "it was interrupted"
		err = nil
	case errors.Is(err, syscall.EPIPE):
		return err
	default:
		t.summary.Stopped = "see the error"
	}
	t.bar.end()
	ended := t.report.End(t.summary)
	if err != nil && errors.Is(ended, syscall.EPIPE) {
		ended = nil // a reader that left must not hush what ended the run
	}
	return errors.Join(err, ended)
}

// refusal puts problems into the words of reports.
func refusal(ps record.Problems, earlier bool) reports.Refusal {
	r := reports.Refusal{Earlier: earlier}
	for _, p := range ps {
		r.Problems = append(r.Problems, reports.Problem(p))
	}
	return r
}
