package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/sheet"
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

// What --units takes.
const unitsAsRecorded = "as-recorded"

var unitSystems = map[string]reports.Units{
	unitsAsRecorded: reports.UnitsAsRecorded, "us": reports.UnitsUS, "si": reports.UnitsSI,
}

// tellFlags say how verdicts are told of, and what they make of the exit code.
type tellFlags struct {
	format  string
	output  string
	show    string
	units   string
	rates   bool
	contact string
	failOn  []string
}

func (f *tellFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.format, "format", "text", "write `FORMAT`: "+strings.Join(formatNames(), ", "))
	flags.StringVar(&f.output, "output", "",
		"write to `PATH`, which gets its name once the report is whole (default: standard output)")
	flags.StringVar(&f.show, "show", "",
		"tell of visits that need `attention` only, or of all with every outcome (default: attention where people read it, all where programs do)")
	flags.StringVar(&f.units, "units", unitsAsRecorded,
		"where people read it, tell quantities in `UNITS`: us, si or as-recorded; what was written stands in brackets")
	flags.BoolVar(&f.rates, "rate-by-person", false,
		"in an overview, add the share of visits not accepted by who signed, where there are 20 visits or more, with its interval")
	flags.StringVar(&f.contact, "contact", "",
		"on a customer's page, whom to call, as `TEXT`; without it a line is left to write on")
	flags.StringSliceVar(&f.failOn, "fail-on", []string{failNotAccepted},
		"exit with 1 on these: not-accepted holds always, unserviceable and undetermined can be added")
}

// check refuses values that cannot be, and fills in what depends on others.
func (f *tellFlags) check() error {
	form, err := formatNamed(f.format)
	if err != nil {
		return err
	}
	if f.show == "" {
		f.show = showAttention
		if form.all {
			f.show = showAll
		}
	}
	if !slices.Contains([]string{showAttention, showAll}, f.show) {
		return usage("--show %q: it is attention or all", f.show)
	}
	if form.folder && f.output == "" {
		return usage("--format %s writes a folder\nname it with --output", f.format)
	}
	if f.contact != "" && f.format != "customer" {
		return usage("--contact: format %s has no place for it\nask for --format customer", f.format)
	}
	if f.rates && !form.overview {
		return usage("--rate-by-person: format %s tells nothing of persons\nask for --format overview or html", f.format)
	}
	if _, ok := unitSystems[f.units]; !ok {
		return usage("--units %q: it is us, si or as-recorded", f.units)
	}
	known := []string{failNotAccepted, failUnserviceable, failUndetermined}
	for _, word := range f.failOn {
		if !slices.Contains(known, word) {
			return usage("--fail-on %q: it is any of %s", word, strings.Join(known, ", "))
		}
	}
	return nil
}

// open begins the report that the flags name.
func (f *tellFlags) open(cmd *cobra.Command, places bool) (*teller, error) {
	form, err := formatNamed(f.format)
	if err != nil {
		return nil, err
	}
	bar := newProgress(cmd.ErrOrStderr())
	t := &teller{all: f.show == showAll, sheets: form.sheets, bar: bar}
	s := sink{
		out:      bar.aside(cmd.OutOrStdout()),
		aside:    bar.aside(cmd.ErrOrStderr()),
		all:      t.all,
		terminal: f.output == "" && isTerminal(cmd.OutOrStdout()),
		color:    f.output == "" && wantsColor(cmd.OutOrStdout()),
		places:   places,

		overview: reports.OverviewOptions{RateByPerson: f.rates},
		contact:  f.contact,
	}
	switch {
	case f.output == "":
	case form.folder && !(form.page && isPage(f.output)):
		t.output, err = newFolder(f.output)
		if err == nil {
			s.out, s.dir = nil, t.output.temp
		}
	default:
		t.output, err = newOutput(f.output)
		s.out = t.output
	}
	if err != nil {
		return nil, err
	}
	t.report, t.aside = form.open(s), s.aside
	if pages, ok := t.report.(*reports.HTML); ok {
		t.earlier = func(s *sheet.Sheet) error { return pages.Earlier(reports.SheetInUnits(s, unitSystems[f.units])) }
	}
	if form.people {
		t.report = reports.InUnits(t.report, unitSystems[f.units])
	}
	return t, nil
}

// isPage tells whether a path is that of a single page.
func isPage(path string) bool { return strings.HasSuffix(strings.ToLower(path), ".html") }

// verdict is the error that the exit code comes from; nil for 0.
func (f *tellFlags) verdict(s reports.Summary) error {
	t := s.Tally
	switch {
	case s.Stopped != "" || s.Refused > 0 || s.RefusedEarlier > 0 || s.RefusedSaved > 0:
		return &exitError{code: exitUnjudged}
	case t.Accepted < t.Visits,
		slices.Contains(f.failOn, failUnserviceable) && t.Unserviceable > 0,
		slices.Contains(f.failOn, failUndetermined) && t.Undetermined > 0:
		return &exitError{code: exitFailed}
	}
	return nil
}

// teller tells a report of verdicts and refusals, and counts them.
type teller struct {
	report reports.Report
	output *output // nil for standard output
	aside  io.Writer
	all    bool
	sheets bool // the report wants the sheet of each visit
	// earlier takes the sheets of visits to compare with; nil where the report
	// has no use for them.
	earlier func(*sheet.Sheet) error
	bar     *progress
	summary reports.Summary
}

func (t *teller) tell(r stream.Result) error {
	if r.Verdict == nil {
		return t.refused(refusal(r.Problems, false))
	}
	return t.visit(reports.Visit{Verdict: r.Verdict, Source: fileOf(r.Source), Place: r.Record.Position, Sheet: r.Sheet})
}

func (t *teller) visit(v reports.Visit) error {
	defer t.bar.step()
	t.summary.Tally.Add(v.Verdict)
	if !t.all && !v.NeedsAttention {
		return nil
	}
	return t.report.Visit(v)
}

func (t *teller) refused(r reports.Refusal) error {
	defer t.bar.step()
	switch {
	case r.Earlier:
		t.summary.RefusedEarlier++
	case r.Saved:
		t.summary.RefusedSaved++
	default:
		t.summary.Refused++
	}
	return t.report.Refused(r)
}

func (t *teller) refusedEarlier(ps record.Problems) error {
	return t.refused(refusal(ps, true))
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
		return errors.Join(err, t.drop())
	default:
		t.summary.Stopped = "see the error"
	}
	t.bar.end()
	ended := t.report.End(t.summary)
	if err != nil && errors.Is(ended, syscall.EPIPE) {
		ended = nil // a reader that left must not hush what ended the run
	}
	err = errors.Join(err, ended)
	switch {
	case t.output == nil:
		return err
	case err == nil && t.summary.Stopped == "":
		return t.output.keep()
	}
	// Not all formats have a place for saying that the run was not finished.
	if dropped := t.drop(); dropped != nil {
		return errors.Join(err, dropped)
	}
	if _, told := fmt.Fprintf(t.aside, "%s was left as it was: the run was not finished\n", t.output.path); told != nil {
		return errors.Join(err, told)
	}
	return err
}

func (t *teller) drop() error {
	if t.output == nil {
		return nil
	}
	return t.output.drop()
}

// refusal puts problems into the words of reports.
func refusal(ps record.Problems, earlier bool) reports.Refusal {
	r := reports.Refusal{Earlier: earlier}
	for _, p := range ps {
		r.Problems = append(r.Problems, reports.Problem(p))
	}
	return r
}

// fileOf is the file that a source is, from the working directory where it lies in
// there; empty for standard input, which is none.
func fileOf(source string) string {
	if source == record.Stdin {
		return ""
	}
	if !filepath.IsAbs(source) {
		return source
	}
	here, err := os.Getwd()
	if err != nil {
		return source
	}
	if within, err := filepath.Rel(here, source); err == nil && filepath.IsLocal(within) {
		return within
	}
	return source
}
