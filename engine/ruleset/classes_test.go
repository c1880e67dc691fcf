package ruleset

import (
	"errors"
	"strings"
	"testing"
)

// released is a copy of a released folder, whose classes have ranges and whose
// base visits record their readings.
const released = "../../policies/1.1.0"

// Each fault of a class is told at its own line, and nothing else is told. They are
// planted together, for to check a whole release takes a while.
func TestFaultsOfClasses(t *testing.T) {
	const sealed, flooded = "classes/walk-behind-sealed.yaml", "classes/walk-behind-flooded.yaml"
	faults := []struct{ file, old, new, line, says, mend string }{
		{sealed, "unit: V\n", "unit: degF\n", "unit: degF",
			"/walk-behind-sealed/battery/rest_voltage: the unit degF is of temperature, but what is limited is voltage", "the units of voltage are V, mV"},
		{sealed, "max: 0.2\n      unit: V\n", "max: 0.2\n      unit: Vv\n", "unit: Vv",
			`/walk-behind-sealed/battery/voltage_spread/unit: units.yaml has no unit "Vv"`, "the units of voltage are V, mV"},
		{sealed, "reading: brush-wear,", "reading: brush-waer,", "brush-waer",
			`/walk-behind-sealed/ranges/0/reading: no visit under examples/base records a reading "brush-waer"`, `did you mean "brush-wear"? If it is new, let a visit under examples/base record it`},
		{sealed, "min: 0.1, unit: in,", "min: 0.1, unit: kPa,", "unit: kPa",
			"/walk-behind-sealed/ranges/1: the unit kPa is of pressure, but what is limited is length", "the units of length are ft, in, m, mm"},
		{sealed, "unit: km/h,", "unit: km/hr,", "unit: km/hr", `ranges/5/unit: units.yaml has no unit "km/hr"`, `did you mean "km/h"?`},
		{sealed, "reading: flow-full,", "reading: litres-used,", "litres-used",
			`no visit under examples/base records a reading "litres-used"`, "let a visit under examples/base record it"},
		{sealed, "step: deck-lift,", "step: deck-lfit,", "deck-lfit", `/walk-behind-sealed/ranges/8/step: steps.yaml has no step "deck-lfit"`, `did you mean "deck-lift"?`},
		{sealed, "min: 40, unit: inH2O,", "min: 40, unit: INH2O,", "INH2O", `units.yaml has no unit "INH2O"`, `did you mean "inH2O"?`},
		{flooded, "- brush-drive\n", "- brush-drvie\n", "brush-drvie",
			`/walk-behind-flooded/requires/0/steps/22: steps.yaml has no step "brush-drvie"`, `did you mean "brush-drive"?`},
		{flooded, "{before: key-off,", "{before: key-of,", "key-of,", `precedence/38/before: steps.yaml has no step "key-of"`, `did you mean "key-off"?`},
		{flooded, "after: charger-fuse}", "after: polish-the-mirror}", "polish-the-mirror",
			`steps.yaml has no step "polish-the-mirror"`, "write a step of steps.yaml, or add this one there"},
		{flooded, "{meter: brush,", "{meter: bruhs,", "bruhs", `the class has no meter "bruhs"`, "its meters are power-on, drive, brush, vacuum"},
		{flooded, "{meter: vacuum, min: 20,", "{meter: vacuum, min: 99,", "min: 99", "min 99 is above max 95", "swap them"},
		{flooded, "{level: interim,", "{level: interm,", "level: interm,", `requires no steps of a service of level "interm"`, `did you mean "interim"?`},
	}
	release := copied(t, released)
	for _, f := range faults {
		edit(t, release, f.file, f.old, f.new)
	}
	_, err := Load(t.Context(), release, Options{})
	var problems Problems
	if !errors.As(err, &problems) {
		t.Fatalf("got %v", err)
	}
	if len(problems) != len(faults) {
		t.Errorf("%d problems of %d faults:\n%v", len(problems), len(faults), err)
	}
	for _, f := range faults {
		found := false
		for _, p := range problems {
			found = found || p.File == f.file && blames(release, p, f.line) && strings.Contains(p.Message, f.says) && strings.HasPrefix(p.Mend, f.mend)
		}
		if !found {
			t.Errorf("wanted %q at the line of %q, mend %q; got\n%v", f.says, f.line, f.mend, err)
		}
	}
}

// A release whose base visits record no reading yet has nothing to hold a class to.
func TestReadingsWithoutBaseVisits(t *testing.T) {
	release := small(t)
	edit(t, release, "classes/one.yaml", "ranges: []", "ranges:\n    - {reading: wear, step: sign, group: wear, title: x, min: 1, unit: sg, place: 1, decided: direct, severity: minor, mark: common practice, source: x}")
	if _, err := Load(t.Context(), release, Options{}); err != nil {
		t.Error(err)
	}
}

// A number in quotes is told of where it stands, and not also at the rules that
// read it and would miss its type; nor is a limit that a fact names and cannot print.
func TestRefusedDataIsToldAlone(t *testing.T) {
	for _, f := range []struct{ file, old, new, says string }{
		{"limits.yaml", "max: 0.015", `max: "0.015"`, "/limits/battery/under_nameplate/max: expected number, but got string\n    mend: take the quotes away: 0.015"},
		{"limits.yaml", "      max: 0.015\n", "", "/limits/battery/under_nameplate: there is neither of the members min, max\n    mend: add one of them: "},
		{"classes/walk-behind-sealed.yaml", "every_hours: 200", `every_hours: "200"`, "/walk-behind-sealed/service/0/every_hours: expected integer, but got string\n    mend: take the quotes away: 200"},
		{"steps.yaml", "order: 10,", `order: "10",`, "/steps/machine-identity/order: expected integer, but got string\n    mend: take the quotes away: 10"},
	} {
		release := copied(t, released)
		edit(t, release, f.file, f.old, f.new)
		_, err := Load(t.Context(), release, Options{})
		var problems Problems
		if !errors.As(err, &problems) || len(problems) != 1 || problems[0].File != f.file || !strings.Contains(err.Error(), f.says) {
			t.Errorf("%s, %s: wanted %q alone; got\n%v", f.file, f.new, f.says, err)
		}
	}
}

// A base visit that cannot be read is no reason to doubt the readings of classes.
func TestReadingsOfBrokenBaseVisit(t *testing.T) {
	release := copied(t, released)
	for _, name := range []string{"ride-on-flooded", "walk-behind-flooded"} {
		edit(t, release, "examples/base/"+name+".json", `"brush-wear"`, `"pad-wear"`)
	}
	edit(t, release, "examples/base/walk-behind-sealed.json", "{", "{{")
	_, err := Load(t.Context(), release, Options{})
	if err == nil || !strings.Contains(err.Error(), "walk-behind-sealed.json") || strings.Contains(err.Error(), "records a reading") {
		t.Errorf("got %v", err)
	}
}
