package reports

import (
	"io"
	"strings"

	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// OverviewText writes an overview for a lead, in lines of at most 80 characters.
type OverviewText struct {
	out      io.Writer
	overview *Overview
}

var _ Report = (*OverviewText)(nil)

// NewOverviewText returns an overview in plain text.
func NewOverviewText(out io.Writer, opt OverviewOptions) *OverviewText {
	return &OverviewText{out: out, overview: NewOverview(opt)}
}

// Visit counts a visit.
func (t *OverviewText) Visit(v Visit) error {
	t.overview.Add(v, "")
	return nil
}

// Refused counts what was refused.
func (t *OverviewText) Refused(r Refusal) error {
	t.overview.Refuse(r)
	return nil
}

// End writes the overview.
func (t *OverviewText) End(s Summary) error {
	var b strings.Builder
	for _, l := range t.overview.lists() {
		b.WriteString(l.Title + "\n")
		lines.Wrap(&b, "  ", "  ", l.Note)
		for _, row := range l.Rows {
			lines.Wrap(&b, "  - ", "    ", inWords(l.Columns, row))
		}
		b.WriteByte('\n')
	}
	// In lines as they are, so that they can be searched for and jumped to.
	for _, r := range t.overview.refused {
		b.WriteString(refusedTitle(r) + "\n" + refusal(r) + "\n")
	}
	b.WriteString(summary(s))
	return write(t.out, "overview", b.String())
}

// inWords is a row in a sentence: its head, then what each column says of it.
func inWords(columns []string, row []entry) string {
	said := row[0].Text
	between := ": "
	for i, c := range row[1:] {
		if c.Text == "" {
			continue
		}
		said += between + strings.ToLower(columns[i+1]) + " " + c.Text
		between = "; "
	}
	return said
}
