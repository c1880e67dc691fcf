package workshop

import (
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/explain"
	"github.com/visitgauge/visitgauge/schema"
)

// TestAnswers: what is indeterminate is told with its reason, in words.
func TestAnswers(t *testing.T) {
	for outcome, want := range map[string]string{
		"conforming":    "Battery is conforming.",
		"nonconforming": "Battery is nonconforming: said.",
		"evidence":      "Battery could not be judged for want of evidence: said.",
		"limit":         "Battery could not be judged, being too close to the limit: said.",
		"state":         "Battery could not be judged for a reason that stands in the record: said.",
		"spared":        "Battery is spared: said.",
	} {
		e := examples.Told{Outcomes: []examples.Saw{{Subject: "battery", Outcome: outcome, Statement: "said"}}}
		if got := answers(e); got != want {
			t.Errorf("%s: got %q, want %q", outcome, got, want)
		}
	}
}

// TestVisits: earlier visits are told by what they are chosen for, all that
// schema/input.v1.json names.
func TestVisits(t *testing.T) {
	data, err := schema.Read("input")
	if err != nil {
		t.Fatal(err)
	}
	var document struct {
		Defs struct {
			Earlier struct {
				Properties map[string]any `json:"properties"`
			} `json:"earlier"`
		} `json:"$defs"`
	}
	if err := json.Unmarshal(data, &document); err != nil {
		t.Fatal(err)
	}
	if len(document.Defs.Earlier.Properties) == 0 {
		t.Fatal("the schema names no earlier visits")
	}
	for slot := range document.Defs.Earlier.Properties {
		if got := visits([]string{slot}); got == slot {
			t.Errorf("%s is told by its name in the schema", slot)
		}
	}
	if got, want := visits([]string{"battery", "meters"}), "the last visit at which the battery was measured, and of the last visit at which a meter was read"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

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
