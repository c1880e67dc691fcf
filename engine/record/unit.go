package record

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// spellings is how units are often written (common practice), reduced to what
// unitLetters leaves of them, and the unit's code. A spelling is offered only
// where the quantity takes that unit, and never put in the place of what was
// written.
var spellings = map[string]string{
	"specificgravity": "sg", "kg/l": "sg", "g/ml": "sg", "g/cm3": "sg",
	"f": "degF", "fahrenheit": "degF", "degreef": "degF",
	"c": "degC", "celsius": "degC", "centigrade": "degC", "degreec": "degC",
	"inlb": "in.lbf", "inlbs": "in.lbf", "lbin": "in.lbf", "lbfin": "in.lbf", "inchpound": "in.lbf", "inchpounds": "in.lbf",
	"ftlb": "ft.lbf", "ftlbs": "ft.lbf", "lbft": "ft.lbf", "lbfft": "ft.lbf", "footpound": "ft.lbf", "footpounds": "ft.lbf",
	"newtonmetre": "N.m", "newtonmeter": "N.m", "newtonmetres": "N.m", "newtonmeters": "N.m",
	`"`: "in", "inch": "in", "inches": "in",
	"millimetre": "mm", "millimeter": "mm", "millimetres": "mm", "millimeters": "mm",
	"volt": "V", "volts": "V", "vdc": "V", "millivolt": "mV", "millivolts": "mV",
	"amp": "A", "amps": "A", "ampere": "A", "amperes": "A",
	"hr": "h", "hrs": "h", "hour": "h", "hours": "h",
	"minute": "min", "minutes": "min", "mins": "min",
	"sec": "s", "secs": "s", "second": "s", "seconds": "s",
	"millilitre": "mL", "milliliter": "mL", "millilitres": "mL", "milliliters": "mL", "cc": "mL", "cm3": "mL",
	"litre": "L", "liter": "L", "litres": "L", "liters": "L",
	"fluidounce": "fl-oz", "fluidounces": "fl-oz", "oz": "fl-oz",
	"gallon": "gal", "gallons": "gal", "usgal": "gal",
	"m3/hr": "m3/h", "cmh": "m3/h", "cfm": "ft3/min", "ft3/m": "ft3/min",
	"percent": "%", "pct": "%", "count": "1", "each": "1",
	"inwc": "inH2O", "inwater": "inH2O", "millibar": "mbar",
	"kph": "km/h", "kmh": "km/h", "mph": "mi/h", "mps": "m/s", "lpm": "L/min", "gpm": "gal/min",
	"newton": "N", "newtons": "N", "kilogram": "kg", "kilograms": "kg",
}

// unitLetters reduces a spelling to what tells it from others: capitals, blanks,
// and the signs for products and degrees do not.
func unitLetters(unit string) string {
	unit = strings.NewReplacer("³", "3", "₂", "2", "″", `"`, "²", "2").Replace(strings.ToLower(unit))
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(" .·⋅*-_°()", r) {
			return -1
		}
		return r
	}, unit)
}

// wrongUnit reports a unit that the quantity is not given in.
func (x *explainer) wrongUnit(f finding) []flaw {
	units := words(f.node.Enum)
	mend := "use " + joined(units, "or")
	if text, ok := f.value.(string); ok {
		if code, ok := unitMeant(text, units); ok {
			mend = "write " + code + " for it"
			if len(units) > 1 {
				mend += "; units here are " + joined(units, "or")
			}
		}
	}
	return x.note(f.path, fmt.Sprintf("%s is given in %s", quantity(f.path), shown(f.value)), mend)
}

// unitMeant returns the unit among those allowed of which the text is another
// spelling.
func unitMeant(text string, units []string) (string, bool) {
	letters := unitLetters(text)
	for _, code := range units {
		if unitLetters(code) == letters {
			return code, true
		}
	}
	code, ok := spellings[letters]
	return code, ok && slices.Contains(units, code)
}

// quantity returns in words what the unit at the path belongs to: torque for
// /battery/posts/0/torque/as_found/unit.
func quantity(p path) string {
	for i := len(p) - 2; i >= 0; i-- {
		if _, isIndex := index(p[i], 1<<31); isIndex || p[i] == "as_found" || p[i] == "as_left" {
			continue
		}
		return strings.ReplaceAll(p[i], "_", " ")
	}
	return "it"
}

// asGravityPoints returns the gravity that was meant, where a hydrometer's
// points were written in its place: 1265 for 1.265. It only ever goes into a
// hint.
func asGravityPoints(record map[string]any, f finding) (string, bool) {
	n, ok := f.value.(json.Number)
	if !ok || len(f.path) == 0 || len(n) != len("1265") || n[0] != '1' || strings.Contains(n.String(), ".") {
		return "", false
	}
	unit, _ := descend(record, f.path[:len(f.path)-1].with("unit"))
	return n.String()[:1] + "." + n.String()[1:], unit == "sg"
}
