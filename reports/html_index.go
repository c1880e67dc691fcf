package reports

import (
	"errors"
	"fmt"
	"io"

	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// indexPage is the index while it is written, row by row.
type indexPage struct {
	out io.WriteCloser
}

// indexRow is one visit in the index.
type indexRow struct {
	Page, Visit, Day, Machine, Site   string
	VisitAnswer, MachineAnswer, Needs string
	Refused                           string // instead of all the others
}

// begin opens the index.
func (h *HTML) beginIndex() error {
	if h.index != nil {
		return nil
	}
	out, err := h.opt.Create("index.html")
	if err != nil {
		return fmt.Errorf("opening the index: %w", err)
	}
	h.index = &indexPage{out: out}
	return h.part("index-head", nil)
}

// part writes a part of the index.
func (h *HTML) part(name string, data any) error {
	text, err := execute(name, data)
	if err != nil {
		return err
	}
	return write(h.index.out, "index", text)
}

// indexed adds a visit to the index.
func (h *HTML) indexed(v Visit, page string) error {
	if err := h.beginIndex(); err != nil {
		return err
	}
	row := indexRow{
		Page: page, Visit: v.Visit.ID, Day: day(v.Visit.Started), Machine: v.Visit.Serial, Site: v.Visit.Site,
		VisitAnswer: string(v.Acceptance.Value), MachineAnswer: string(v.Serviceability), Needs: "no",
	}
	if v.NeedsAttention {
		row.Needs = "yes"
	}
	return h.part("index-row", row)
}

// refusedIndexed adds what was refused to the index.
func (h *HTML) refusedIndexed(r Refusal) error {
	if err := h.beginIndex(); err != nil {
		return err
	}
	p := r.Problems[0]
	said := refusedTitle(r) + ": " + p.Source + ": " + p.Message
	if more := len(r.Problems) - 1; more > 0 {
		said += ", and " + lines.Count(more, "more problem", "more problems")
	}
	return h.part("index-row", indexRow{Refused: said})
}

// endIndex closes the index.
func (h *HTML) endIndex(s Summary) error {
	if err := h.beginIndex(); err != nil {
		return err
	}
	return errors.Join(h.part("index-foot", summary(s)), h.index.out.Close())
}
