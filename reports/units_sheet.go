package reports

import (
	"reflect"
	"strings"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/reports/internal/units"
)

// SheetInUnits is a sheet whose figures are told in a system of units, what was
// written in brackets behind. The record as written stays as it is. The sheet that
// is handed in is not changed.
func SheetInUnits(s *sheet.Sheet, to Units) *sheet.Sheet {
	if s == nil || s.Figures == nil || to == UnitsAsRecorded {
		return s
	}
	out := *s
	figures := inUnits(reflect.ValueOf(*s.Figures), to).Interface().(sheet.Figures)
	for i := range figures.Readings {
		for k, text := range figures.Readings[i].Allowed {
			figures.Readings[i].Allowed[k] = to.Text(text, func(string) units.Kind { return units.Kind{Value: true} })
		}
	}
	out.Figures = &figures
	return &out
}

// inUnits copies a value of plain data, and converts the quantities in it.
func inUnits(v reflect.Value, to Units) reflect.Value {
	if q, ok := v.Interface().(sheet.Quantity); ok {
		return reflect.ValueOf(quantityIn(q, to))
	}
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			out.Field(i).Set(inUnits(v.Field(i), to))
		}
	case reflect.Slice:
		if v.IsNil() {
			break
		}
		out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
		for i := range v.Len() {
			out.Index(i).Set(inUnits(v.Index(i), to))
		}
	}
	return out
}

func quantityIn(q sheet.Quantity, to Units) sheet.Quantity {
	value, symbol, ok := to.Number(q.Text, strings.HasSuffix(q.Unit, difference))
	if !ok {
		return q
	}
	whose := "written"
	if q.Pointer != "" {
		whose = "recorded"
	}
	q.Text = value + " " + symbol + " (" + q.Text + " as " + whose + ")"
	q.Value, q.Unit = value, symbol
	return q
}

// symbol is the unit of a quantity as it is printed.
func symbol(q sheet.Quantity) string {
	unit, _, _ := strings.Cut(strings.TrimPrefix(q.Text, q.Value+" "), " (")
	return unit
}

// short is a quantity for where there is little room: without what stands in
// brackets.
func short(q sheet.Quantity) string {
	text, _, _ := strings.Cut(q.Text, " (")
	return text
}
