package sheet

import (
	"encoding/json"
	"fmt"
	"slices"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/record"
)

// Sheet is what a page prints of one visit besides its verdict. It is plain data.
type Sheet struct {
	// Visit is the record as written.
	Visit Visit
	// Last is the visit of the machine before this one; nil if none is known.
	Last *Last
	// OpenBefore are the items that earlier visits left open, with how this one
	// answered; Open are those that stand after it. Both are sorted by the day
	// raised, then by item.
	OpenBefore, Open []Item
	// Figures are what the release made of the readings; nil where it lays out
	// none.
	Figures *Figures
}

// Last is the visit before.
type Last struct {
	ID string
	// Day is the local day on which it started, year-month-day.
	Day     string
	EndedAs string
}

// Item is something to be seen to after a visit.
type Item struct {
	Item     string
	What     string
	About    []string // subjects
	Severity string   // critical, major or minor
	Owner    string   // us or customer
	Due      string   // year-month-day
	RaisedIn string   // visit id
	RaisedOn string   // year-month-day
	// Carried counts the visits since that kept it open, this one included if it
	// did.
	Carried int
	// Answer is closed, kept or handed-over, Evidence what shows it; both empty
	// for an item that this visit did not answer or that it raised.
	Answer, Evidence string
}

// Of makes the sheet of a record that is compared with earlier visits. Figures
// may be nil. The record must be one that the decoder accepted; else the error
// says what does not fit.
func Of(rec *record.Record, earlier history.Earlier, figures *Figures) (*Sheet, error) {
	s := &Sheet{Figures: figures}
	if err := json.Unmarshal(rec.Raw(), &s.Visit); err != nil {
		return nil, fmt.Errorf("laying out visit %q: %w", rec.ID(), err)
	}
	if last := earlier.LastVisit; last != nil {
		s.Last = &Last{ID: last.ID(), Day: last.LocalDay(), EndedAs: last.EndedAs()}
	}
	for _, i := range earlier.OpenItems {
		s.OpenBefore = append(s.OpenBefore, s.item(i))
	}
	open, _, _ := earlier.After(rec)
	for _, i := range open {
		s.Open = append(s.Open, s.item(i))
	}
	return s, nil
}

// item is an open item with how the visit answered it.
func (s *Sheet) item(i history.OpenItem) Item {
	out := Item{
		Item: i.Item, What: i.What, About: slices.Clone(i.About), Severity: i.Severity, Owner: i.Owner,
		Due: i.Due, RaisedIn: i.RaisedIn, RaisedOn: i.RaisedOn, Carried: i.TimesCarried,
	}
	for _, a := range s.Visit.OpenItemsAnswered {
		if a.Item == i.Item {
			out.Answer, out.Evidence = a.Answer, a.Evidence
		}
	}
	return out
}
