package reports

import (
	"slices"
	"strconv"
	"time"

	"github.com/visitgauge/visitgauge/engine/sheet"
)

// trailLength is how many visits of a machine are kept for pictures: more would
// not be told apart.
const trailLength = 24

// trails are the latest readings by machine.
type trails map[string][]trailPoint

// trailPoint is what one visit left of a machine.
type trailPoint struct {
	visit   string
	started time.Time
	// cell is the weakest and gravity its corrected gravity as left; others how
	// many read the same. All empty where gravity was not read.
	cell        string
	gravity     sheet.Quantity
	temperature sheet.Quantity
	others      int
	serials     map[string]string // of blocks
	meters      map[string]sheet.Quantity
	replaced    map[string]bool // meters replaced since the visit before
}

// add keeps a visit, in the order in which visits started. One that is handed in
// again takes the place of what it was.
func (t trails) add(s *sheet.Sheet) {
	if s == nil || s.Figures == nil {
		return
	}
	started, err := time.Parse(time.RFC3339, s.Visit.Started)
	if err != nil { // the decoder of records lets none through
		return
	}
	point := trailPoint{
		visit: s.Visit.ID, started: started,
		serials: map[string]string{}, meters: map[string]sheet.Quantity{}, replaced: map[string]bool{},
	}
	for _, w := range s.Figures.Weakest {
		switch {
		case w.When != "left":
		case point.cell == "":
			point.cell, point.gravity, point.temperature = w.Cell, w.Corrected, w.Temperature
		default:
			point.others++
		}
	}
	if s.Visit.Battery != nil {
		for _, b := range s.Visit.Battery.Blocks {
			point.serials[b.Block] = b.Serial
		}
	}
	for _, m := range s.Figures.Meters {
		if len(m.Now) == 1 {
			point.meters[m.Meter] = m.Now[0]
		}
		point.replaced[m.Meter] = m.Replaced
	}
	list := slices.DeleteFunc(t[s.Visit.Machine.Serial], func(p trailPoint) bool { return p.visit == point.visit })
	i := slices.IndexFunc(list, func(p trailPoint) bool { return p.started.After(started) })
	if i < 0 {
		i = len(list)
	}
	list = slices.Insert(list, i, point)
	if over := len(list) - trailLength; over > 0 {
		list = slices.Delete(list, 0, over)
	}
	t[s.Visit.Machine.Serial] = list
}

// upTo are the visits of a machine up to one of them, oldest first.
func (t trails) upTo(s *sheet.Sheet) []trailPoint {
	list := t[s.Visit.Machine.Serial]
	i := slices.IndexFunc(list, func(p trailPoint) bool { return p.visit == s.Visit.ID })
	return list[:i+1]
}

// number is a decimal as it is drawn.
func number(value string) float64 {
	// What is no number is drawn at zero; the release's answers are all numbers.
	f, _ := strconv.ParseFloat(value, 64)
	return f
}
