package reports

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// csvColumns are the columns of [CSV], in their order.
var csvColumns = []string{
	"visit", "kind", "level", "site", "serial", "class", "started", "ended_as",
	"acceptance", "serviceability", "completion", "release",
	"rule", "concern", "severity", "subject", "outcome", "because", "conceded_by",
	"title", "statement", "remedy", "who",
	"pointer", "source", "line", "column", "record",
}

// CSV writes one outcome a row, for a spreadsheet: comma-separated values after
// RFC 4180, in UTF-8 without a byte order mark, with one row of column names.
//
// The columns are, in this order:
//
//	visit kind level site serial class started ended_as   the visit, as its record says
//	acceptance serviceability completion                   what the visit comes to
//	release                                                version of the rules
//	rule concern severity subject                          what was asked of what
//	outcome because conceded_by                            the answer; why it is indeterminate;
//	                                                       the concession it stands by
//	title statement remedy who                             the rule in one line, what was found,
//	                                                       what to do (findings only), and who may
//	pointer source line column                             where in the record, and where that was
//	                                                       read from; line and column are whole
//	                                                       numbers from 1, empty where not known
//	record                                                 digest of the record
//
// A spreadsheet takes a cell for a formula if its text begins with one of
// = + - @ (or one of their wide forms), and some split a row at semicolons too. In each column but line and
// column, which hold nothing but digits, an apostrophe is therefore put before
// such a character where it begins the text or a part of it that follows a
// semicolon, blanks and quotes aside. Control characters, line ends among them, are written
// so that they can be seen, so that a row is always one line.
//
// What was refused has no row; it is told in words to another writer, as is the
// summary.
type CSV struct {
	out    *csv.Writer
	words  words
	row    []string
	headed bool
}

var _ Report = (*CSV)(nil)

// NewCSV returns a report that writes rows to out, and in words the problems of
// what was refused and the summary to aside.
func NewCSV(out, aside io.Writer) *CSV {
	w := csv.NewWriter(out)
	w.UseCRLF = true // RFC 4180, section 2
	return &CSV{out: w, words: words{aside}}
}

// Visit writes the rows of a visit's outcomes.
func (c *CSV) Visit(v Visit) error {
	if err := c.head(); err != nil {
		return err
	}
	visit := []string{
		v.Visit.ID, v.Visit.Kind, v.Visit.Level, v.Visit.Site, v.Visit.Serial, v.Visit.Class, v.Visit.Started, v.Visit.EndedAs,
		string(v.Acceptance.Value), string(v.Serviceability), string(v.Completion), v.Release.Version,
	}
	for i := range visit {
		visit[i] = lines.Cell(visit[i])
	}
	source, record := lines.Cell(v.Source), lines.Cell(v.Verdict.Visit.Digest)
	for _, o := range v.Outcomes {
		line, column := "", ""
		if l, col, ok := place(v, o); ok {
			line, column = strconv.Itoa(l), strconv.Itoa(col)
		}
		c.row = append(append(c.row[:0], visit...),
			o.Rule, string(o.Concern), string(o.Severity), lines.Cell(o.Subject), string(o.Outcome), string(o.Because), lines.Cell(o.ConcededBy),
			lines.Cell(o.Title), lines.Cell(o.Statement), lines.Cell(o.Remedy), lines.Cell(o.Who),
			lines.Cell(o.Pointer), source, line, column, record)
		if err := c.out.Write(c.row); err != nil {
			return fmt.Errorf("writing rows of visit %q: %w", v.Visit.ID, err)
		}
	}
	return c.flush("rows of visit " + strconv.Quote(v.Visit.ID))
}

// Refused writes the problems in words.
func (c *CSV) Refused(r Refusal) error { return c.words.refused(r) }

// End writes the row of names if there was no visit, and the summary in words.
func (c *CSV) End(s Summary) error {
	if err := c.head(); err != nil {
		return err
	}
	if err := c.flush("row of column names"); err != nil {
		return err
	}
	return c.words.end(s)
}

// head writes the row of names once.
func (c *CSV) head() error {
	if c.headed {
		return nil
	}
	c.headed = true
	if err := c.out.Write(csvColumns); err != nil {
		return fmt.Errorf("writing row of column names: %w", err)
	}
	return nil
}

func (c *CSV) flush(what string) error {
	c.out.Flush()
	if err := c.out.Error(); err != nil {
		return fmt.Errorf("writing %s: %w", what, err)
	}
	return nil
}
