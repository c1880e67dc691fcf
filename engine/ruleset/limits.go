package ruleset

import (
	"encoding/json"
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"
)

// coefficientPath is the limit that holds the change of gravity with
// temperature, in specific gravity per degree Fahrenheit.
const coefficientPath = "battery.temperature_coefficient"

// The range in which the coefficient must lie, in specific gravity per degree
// Celsius. Common practice: 0.004 per 10 °F is 0.00072.
var (
	coefficientMin = big.NewRat(5, 10000)
	coefficientMax = big.NewRat(9, 10000)
	celsiusPerF    = big.NewRat(5, 9)
)

// Limit gives one bound of a limit as it is written in limits.yaml, and the
// unit it is in. Path is dotted, such as battery.full_charge_gravity; bound is
// the field that holds the number, such as min.
func (s *Set) Limit(path, bound string) (text, unit string, ok bool) {
	return limitIn(s.data, path, bound)
}

func limitIn(data map[string]any, path, bound string) (text, unit string, ok bool) {
	at := data["limits"]
	for _, part := range strings.Split(path, ".") {
		object, _ := at.(map[string]any)
		at = object[part]
	}
	limit, _ := at.(map[string]any)
	unit, hasUnit := limit["unit"].(string)
	text, isNumber := numberText(limit[bound])
	if !hasUnit || !isNumber {
		return "", "", false
	}
	return text, unit, true
}

// Unit is one unit of units.yaml. A value in it is, in the base unit of its
// quantity, (value × Num + Add × Den) ÷ Den.
type Unit struct {
	Code     string // as written in records, such as in.lbf
	Quantity string // such as torque
	Symbol   string // as printed, such as in·lbf; empty where a number stands alone
	UCUM     string // the same unit in the Unified Code for Units of Measure
	Name     string // in words
	Num      string // whole numbers, as written
	Den      string
	Add      string
}

// Unit finds a unit by its code.
func (s *Set) Unit(code string) (Unit, bool) {
	units, _ := s.data["units"].(map[string]any)
	u, ok := units[code].(map[string]any)
	if !ok {
		return Unit{}, false
	}
	word := func(name string) string { v, _ := u[name].(string); return v }
	whole := func(name string) string { v, _ := u[name].(json.Number); return v.String() }
	return Unit{
		Code: code, Quantity: word("quantity"), Symbol: word("symbol"), UCUM: word("ucum"), Name: word("name"),
		Num: whole("num"), Den: whole("den"), Add: whole("add"),
	}, true
}

// checkNumbers checks of the numbers and of the classes what a schema cannot say:
// units that exist and fit, bounds in order, a base unit for each quantity, the
// temperature coefficient in its range, steps and readings that exist.
func (l *loader) checkNumbers() {
	l.readings = l.readBaseReadings()
	for _, name := range l.files.names {
		d, at := l.docs[name], l.places[name]
		if d == nil {
			continue
		}
		switch at.section {
		case "limits", "classes":
			l.checkBounds(d, d.value, "")
		case "units":
			l.checkBaseUnits(d)
		}
		switch at.section {
		case "limits":
			l.checkCoefficient(d)
		case "classes":
			l.checkClass(d)
		}
	}
}

func (l *loader) checkBounds(d *document, v any, pointer string) {
	switch v := v.(type) {
	case []any:
		for i, e := range v {
			l.checkBounds(d, e, childPointer(pointer, i))
		}
	case map[string]any:
		low, hasLow := rational(v["min"])
		high, hasHigh := rational(v["max"])
		if hasLow && hasHigh && low.Cmp(high) > 0 {
			l.add(d.valueProblem(pointer+"/min", fmt.Sprintf("%s: min %s is above max %s", pointer, v["min"], v["max"]), "swap them, or correct the one that is wrong"))
		}
		units, _ := l.data["units"].(map[string]any)
		if unit, ok := v["unit"].(string); ok && units != nil {
			if _, known := units[unit]; !known {
				codes := slices.Sorted(maps.Keys(units))
				mend := "the units are " + strings.Join(codes, ", ")
				if wanted := l.limitedQuantities(d, v, pointer); len(wanted) > 0 {
					if fitting := l.unitsOf(wanted); len(fitting) > 0 {
						mend = "the units of " + strings.Join(wanted, " or ") + " are " + strings.Join(fitting, ", ")
					}
				}
				l.checkName(d, pointer+"/unit", unit, codes, "units.yaml has no unit", mend, "")
			} else {
				l.checkDimension(d, v, unit, pointer)
			}
		}
		for _, name := range slices.Sorted(maps.Keys(v)) {
			l.checkBounds(d, v[name], childPointer(pointer, name))
		}
	}
}

// checkDimension demands that the unit of a limit is one of the quantity that is
// limited: a torque in volts would decide every reading, and wrongly.
func (l *loader) checkDimension(d *document, limit map[string]any, unit, pointer string) {
	wanted := l.limitedQuantities(d, limit, pointer)
	if len(wanted) == 0 {
		return
	}
	is := l.quantityOf(unit)
	if is == "" || slices.Contains(wanted, is) { // the schema wants one of each unit
		return
	}
	quantity := strings.Join(wanted, " or ")
	fitting := l.unitsOf(wanted)
	if _, named := limit["quantity"]; named && len(fitting) == 0 {
		units, _ := l.data["units"].(map[string]any)
		var quantities []string
		for code := range units {
			quantities = append(quantities, l.quantityOf(code))
		}
		slices.Sort(quantities)
		l.checkName(d, pointer+"/quantity", quantity, quantities, "units.yaml has no unit of", "write one that units.yaml has", "")
		return
	}
	mend := "the units of " + quantity + " are " + strings.Join(fitting, ", ")
	if len(fitting) == 0 {
		mend = "add a unit of " + quantity + " to units.yaml"
	}
	l.add(d.valueProblem(pointer+"/unit", fmt.Sprintf("%s: the unit %s is of %s, but what is limited is %s", pointer, unit, is, quantity), mend))
}

// quantityOf is what a unit is of, "" if nothing says so.
func (l *loader) quantityOf(unit string) string {
	units, _ := l.data["units"].(map[string]any)
	u, _ := units[unit].(map[string]any)
	q, _ := u["quantity"].(string)
	return q
}

// unitsOf are the units of some quantities, sorted.
func (l *loader) unitsOf(quantities []string) []string {
	units, _ := l.data["units"].(map[string]any)
	var codes []string
	for _, code := range slices.Sorted(maps.Keys(units)) {
		if slices.Contains(quantities, l.quantityOf(code)) {
			codes = append(codes, code)
		}
	}
	return codes
}

// checkBaseUnits demands that each quantity has one base unit at least, and
// none of its units an offset that a tolerance in it would take along unseen:
// only temperatures have a zero of their own.
func (l *loader) checkBaseUnits(d *document) {
	units, _ := l.data["units"].(map[string]any)
	hasBase := map[string]bool{}
	for _, v := range units {
		u, _ := v.(map[string]any)
		quantity, _ := u["quantity"].(string)
		num, okNum := rational(u["num"])
		den, okDen := rational(u["den"])
		add, okAdd := rational(u["add"])
		if okNum && okDen && okAdd && num.Cmp(den) == 0 && add.Sign() == 0 {
			hasBase[quantity] = true
		}
	}
	for _, code := range slices.Sorted(maps.Keys(units)) {
		u, _ := units[code].(map[string]any)
		quantity, ok := u["quantity"].(string)
		if !ok {
			continue // the schema says so
		}
		pointer := childPointer("/units", code)
		if !hasBase[quantity] {
			l.add(d.problem(pointer, fmt.Sprintf("%s: the quantity %s has no base unit", pointer, quantity), "give one of its units num and den alike and add 0"))
		}
		if add, ok := rational(u["add"]); ok && add.Sign() != 0 && quantity != "temperature" {
			l.add(d.valueProblem(pointer+"/add", fmt.Sprintf("%s: a unit of %s has no zero of its own, yet add is %s", pointer, quantity, u["add"]), "write add: 0"))
		}
	}
}

func (l *loader) checkCoefficient(d *document) {
	pointer := "/limits/" + strings.ReplaceAll(coefficientPath, ".", "/")
	for _, bound := range []string{"min", "max"} {
		text, unit, ok := limitIn(l.data, coefficientPath, bound)
		if !ok {
			continue
		}
		v, ok := new(big.Rat).SetString(text)
		if !ok {
			continue
		}
		perC := new(big.Rat).Quo(v, celsiusPerF)
		if perC.Cmp(coefficientMin) < 0 || perC.Cmp(coefficientMax) > 0 {
			l.add(d.valueProblem(pointer+"/"+bound,
				fmt.Sprintf("%s: %s %s per °F is %s per °C, outside %s to %s", pointer, text, unit, perC.FloatString(6), coefficientMin.FloatString(4), coefficientMax.FloatString(4)),
				"write the coefficient per °F, such as 0.0004"))
		}
	}
}

func rational(v any) (*big.Rat, bool) {
	text, ok := numberText(v)
	if !ok {
		return nil, false
	}
	return new(big.Rat).SetString(text)
}
