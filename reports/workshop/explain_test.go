package workshop

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/visitgauge/visitgauge/engine/explain"
)

// TestClassNumbers: invented numbers of invented classes, each with its unit and source,
// what differs between classes with each.
func TestClassNumbers(t *testing.T) {
	number := func(class, least, most, unit, symbol, decided string) explain.ClassNumber {
		return explain.ClassNumber{Class: class, Name: "ranges.flow", About: "flow at full", Min: least, Max: most, Unit: unit, Symbol: symbol,
			Step: "tap", Place: "0.1", Decided: decided, Mark: "published-elsewhere", Source: strings.Repeat("a long source ", 10)}
	}
	x := &explain.Explanation{
		Limits: []explain.Limit{
			{Name: "battery.warm", Title: "how much warmer", Max: "5", Unit: "degF-diff", Symbol: "°F"},
			{Name: "battery.full", Title: "full", Min: "1.260", Unit: "sg"},
		},
		ClassNumbers: []explain.ClassNumber{
			number("one", "0.7", "1.2", "gal/min", "gal/min", "rounded"), number("two", "", "2.5", "L/min", "L/min", "direct"),
			{Class: "one", Name: "ranges.marks", About: "marks", Min: "1", Max: "1", Unit: "1", Source: "a manual"},
			{Class: "two", Name: "charger.fuse", About: "Fuse rating, A", Value: "20"},
		},
		Class: []string{"battery.blocks.*", "battery.type", "meters.*", "requires.*.kind", "requires.*.steps.*"},
	}
	text, err := Render(Text, nil, Explanation(x))
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		if utf8.RuneCountInString(line) > 81 {
			t.Errorf("a line is too long: %q", line)
		}
	}
	for _, want := range []string{
		"  value    at most 5 °F\n", "  value    at least 1.260 sg\n",
		"  of the class  ranges.flow: flow at full\n  one           0.7 to 1.2 gal/min\n  two           at most 2.5 L/min\n  read at step  tap\n" +
			"  decided       rounded, place 0.1 (one)\n  decided       direct, place 0.1 (two)\n  source        published elsewhere: a long source",
		"  of the class  ranges.marks: marks\n  one           1\n  source        ",
		"  of the class  charger.fuse: fuse rating, A\n  two           20\n  source        the class names none\n",
		"  also of the class  battery (blocks, type), meters, requires (kind, steps)\n",
	} {
		if !strings.Contains(string(text), want) {
			t.Errorf("%q is missing in\n%s", want, text)
		}
	}
	markdown, err := Render(Markdown, nil, Explanation(x))
	if err != nil {
		t.Fatal(err)
	}
	if want := "- **of the class**: ranges.flow: flow at full\n- **one**: 0.7 to 1.2 gal/min\n"; !strings.Contains(string(markdown), want) {
		t.Errorf("%q is missing in\n%s", want, markdown)
	}
}
