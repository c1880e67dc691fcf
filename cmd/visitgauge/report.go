package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/saved"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/reports"
)

// reportFlags are the flags of report.
type reportFlags struct {
	tellFlags
	records  []string
	policies string
	limits   record.Limits
}

func newReport() *cobra.Command {
	var flags reportFlags
	cmd := &cobra.Command{
		Use:   "report [FILE|DIR|-]…",
		Short: "Write a report of saved verdicts",
		Long: `Write a report of verdicts that "check --format json" wrote, in the order in which
they are handed in. Nothing is judged again.

A FILE is one verdict if its name ends in .json, else JSON Lines, one verdict a
line. A DIR is its .json and .jsonl files, sorted by name, and those of its folders.
Standard input (-, or no argument) is read as a FILE of no such name. What is no
verdict, or does not agree with itself, is refused and does not stop the others.

With --records, findings carry the file, line and column of the record. It is found
by its digest, so that it must be byte for byte what was judged; of a line of a
stream that is the line without its end, of a file all of it. A format that shows
readings lays them out by the release that the verdict names; the earlier visits
that it names must then be among the records too.

` + formatsHelp() + `

` + exitCodes,
		Example: `  visitgauge report --format sarif --records visits/ --output visits.sarif verdicts.jsonl
  visitgauge report --format csv verdicts.jsonl > outcomes.csv`,
		Args: arguments(0, -1),
		RunE: func(cmd *cobra.Command, args []string) error { return flags.run(cmd, args) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringArrayVar(&flags.records, "records", nil,
		"find in `PATH`, a directory or file as for check, the records that were judged; may be repeated")
	f.StringVar(&flags.policies, "policies", "",
		"find the releases that verdicts name in `DIR`, which holds releases.yaml, or is one release (default: those built in)")
	f.Int64Var(&flags.limits.Bytes, "max-bytes", record.DefaultBytes, "refuse a verdict or record of more than `N` bytes")
	flags.tellFlags.add(f)
	return cmd
}

// check refuses values that cannot be.
func (f *reportFlags) check(paths []string) error {
	if f.limits.Bytes < 1 {
		return usage("--max-bytes must be 1 or more")
	}
	if twice := len(paths) - len(slices.DeleteFunc(slices.Clone(paths), isStdin)); twice > 1 {
		return usage("standard input (-) can be read only once")
	}
	for _, path := range f.records {
		if isStdin(path) {
			return usage("--records -: records are read again when they are wanted, and standard input can be read only once\nwrite them to a file first")
		}
		if _, err := os.Stat(path); err != nil {
			return usage("--records: %w", err)
		}
	}
	return f.tellFlags.check()
}

func isStdin(path string) bool { return path == "-" }

// run writes the report of the verdicts at the paths.
func (f *reportFlags) run(cmd *cobra.Command, paths []string) error {
	if len(paths) == 0 {
		if isTerminal(cmd.InOrStdin()) {
			return usage("report: no verdict named\nname files or directories, or hand verdicts in on standard input")
		}
		paths = []string{"-"}
	}
	if err := f.check(paths); err != nil {
		return err
	}
	decoder, err := saved.NewDecoder(f.limits)
	if err != nil {
		return err
	}
	ctx, stop := interruptible(cmd)
	defer stop()

	t, err := f.open(cmd, len(f.records) > 0)
	if err != nil {
		return err
	}
	defer t.bar.end()
	t.bar.doing = "telling"
	r := &retelling{teller: t, decoder: decoder}
	if len(f.records) > 0 {
		r.records = &saved.Records{}
		if t.sheets {
			if r.sheets, err = f.sheets(r.records); err != nil {
				return errors.Join(err, t.drop())
			}
		}
		err = stream.Each(ctx, record.NewReader(f.records, nil, f.limits).All(), r.index)
	}
	if err == nil {
		err = stream.Each(ctx, record.NewReader(paths, cmd.InOrStdin(), f.limits).All(), func(item record.Item) error { return r.item(ctx, item) })
	}
	if err := t.end(err); err != nil {
		return err
	}
	if err := r.unmatched(cmd.ErrOrStderr()); err != nil {
		return err
	}
	return f.tellFlags.verdict(t.summary)
}

// retelling tells of saved verdicts.
type retelling struct {
	*teller
	decoder *saved.Decoder
	records *saved.Records // nil where none are named
	sheets  *saved.Sheets  // nil where the report has no use for them
	without int            // verdicts whose record is not among them
}

// sheets lays out what is in the records again.
func (f *reportFlags) sheets(records *saved.Records) (*saved.Sheets, error) {
	rules, err := (&ruleFlags{policies: f.policies}).rules()
	if err != nil {
		return nil, err
	}
	decoder, err := (&caseFlags{limits: f.limits}).decoder()
	if err != nil {
		return nil, err
	}
	return &saved.Sheets{Records: records, Decoder: decoder, Rules: rules}, nil
}

// index notes where a record stands.
func (r *retelling) index(item record.Item) error {
	add := r.records.Add
	if r.sheets != nil {
		add = r.sheets.Add
	}
	err := add(item)
	var ps record.Problems
	if errors.As(err, &ps) {
		return r.refused(refusal(ps, false))
	}
	return err
}

// item tells of a verdict.
func (r *retelling) item(ctx context.Context, item record.Item) error {
	v, err := r.decoder.Decode(item)
	var ps record.Problems
	if errors.As(err, &ps) {
		refused := refusal(ps, false)
		refused.Saved = true
		return r.refused(refused)
	}
	if err != nil {
		return err
	}
	told := reports.Visit{Verdict: v}
	if r.records != nil {
		found, ok, err := r.records.Find(v.Visit.Digest)
		if err != nil {
			return err
		}
		if !ok {
			r.without++
		}
		told.Source, told.Place = fileOf(found.Source), found.Place
		if ok && r.sheets != nil {
			told.Sheet, err = r.sheets.Of(ctx, v, found)
			var missing *saved.Missing
			if errors.As(err, &missing) {
				_, err = fmt.Fprintf(r.aside, "visit %s is shown without its readings: not at hand is %v\n", v.Visit.ID, missing)
			}
			if err != nil {
				return err
			}
		}
	}
	return r.visit(told)
}

// unmatched tells which of verdicts and records have no fellow.
func (r *retelling) unmatched(stderr io.Writer) error {
	if r.records == nil {
		return nil
	}
	said := ""
	if r.without > 0 {
		said += fmt.Sprintf("verdicts without their record among those of --records, whose findings carry no line: %d\n", r.without)
	}
	// Where sheets are made, those may be there to compare with.
	if n := r.records.Unasked(); n > 0 && r.sheets == nil {
		said += fmt.Sprintf("records of --records without a verdict here: %d\n", n)
	}
	_, err := io.WriteString(stderr, said)
	return err
}
