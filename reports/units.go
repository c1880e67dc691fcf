package reports

import (
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/units"
)

// Units is the system of units that quantities are displayed in.
type Units = units.System

// The systems. As recorded is the zero value.
const (
	UnitsAsRecorded = units.AsRecorded
	UnitsUS         = units.US
	UnitsSI         = units.SI
)

// converted is a report of verdicts whose texts are in a system of units.
type converted struct {
	Report
	to Units
}

var _ Report = converted{}

// InUnits returns a report that hands verdicts on with their quantities told in a
// system of units, what was written in brackets behind. It is for formats that
// people read: values, units and limits of the facts stay as recorded, as do the
// words that a person wrote into the record. The figures of sheets are converted,
// see [SheetInUnits].
func InUnits(r Report, to Units) Report {
	if to == UnitsAsRecorded {
		return r
	}
	return converted{Report: r, to: to}
}

// Visit hands a visit on.
func (c converted) Visit(visit Visit) error {
	v := *visit.Verdict
	v.Outcomes = slices.Clone(v.Outcomes)
	for i := range v.Outcomes {
		c.convert(&v.Outcomes[i])
	}
	visit.Verdict = &v
	visit.Sheet = SheetInUnits(visit.Sheet, c.to)
	return c.Report.Visit(visit)
}

// convert puts the texts of an outcome into the units.
func (c converted) convert(o *verdict.Outcome) {
	known := map[string]units.Kind{}
	for _, f := range o.Facts {
		written, ok := units.First(f.Text)
		if !ok || f.Unit == "" {
			continue
		}
		k := known[written]
		if strings.HasSuffix(f.Unit, difference) {
			k.Difference = true
		} else {
			k.Value = true
		}
		k.Recorded = k.Recorded || f.Pointer != ""
		known[written] = k
	}
	tell := func(text string) string { return c.to.Text(text, func(q string) units.Kind { return known[q] }) }
	o.Statement, o.Why, o.Remedy = tell(o.Statement), tell(o.Why), tell(o.Remedy)
	o.Cautions = slices.Clone(o.Cautions)
	for i := range o.Cautions {
		o.Cautions[i] = tell(o.Cautions[i])
	}
	o.Facts = slices.Clone(o.Facts)
	for i := range o.Facts {
		if o.Facts[i].Unit != "" {
			o.Facts[i].Text = tell(o.Facts[i].Text)
		}
	}
}

// difference ends the code of a unit in which differences are given, as of two
// temperatures.
const difference = "-diff"
