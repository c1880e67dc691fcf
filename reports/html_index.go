package reports

import (
	"errors"
	"fmt"
	"io"

	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// indexPage is the list of visits while it is written, row by row.
type indexPage struct {
	out io.WriteCloser
}

// indexRow is one visit in the list.
type indexRow struct {
	Page, Visit, Day, Machine, Site   string
	VisitAnswer, MachineAnswer, Needs string
	Refused                           string // instead of all the others
}

// beginIndex opens the list.
func (h *HTML) beginIndex() error {
	if h.index != nil {
		return nil
	}
	out, err := h.opt.Create("visits.html")
	if err != nil {
		return fmt.Errorf("opening the list of visits: %w", err)
	}
	h.index = &indexPage{out: out}
	return h.part("index-head", nil)
}

// part writes a part of the list.
func (h *HTML) part(name string, data any) error {
	text, err := execute(name, data)
	if err != nil {
		return err
	}
	return write(h.index.out, "list of visits", text)
}

// indexed adds a visit to the list and to the overview.
func (h *HTML) indexed(v Visit, page string) error {
	h.overview.Add(v, page)
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

// refusedIndexed adds what was refused to the list and to the overview.
func (h *HTML) refusedIndexed(r Refusal) error {
	h.overview.Refuse(r)
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

// endIndex closes the list and writes the overview.
func (h *HTML) endIndex(s Summary) error {
	if err := h.beginIndex(); err != nil {
		return err
	}
	if err := errors.Join(h.part("index-foot", summary(s)), h.index.out.Close()); err != nil {
		return err
	}
	text, err := execute("overview.tmpl", overviewPage{
		Summary: summary(s),
		Lists:   append(h.overview.lists(), h.overview.refusedList()),
	})
	if err != nil {
		return err
	}
	return h.create("index.html", text)
}

// overviewPage is what the template of the overview prints.
type overviewPage struct {
	Summary string
	Lists   []list
}
