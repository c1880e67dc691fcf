package reports_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports"
)

// measured is a verdict with a reading in one unit, a limit in another, a
// temperature and a difference of temperatures.
func measured() *verdict.Verdict {
	return &verdict.Verdict{
		Visit:          verdict.Visit{ID: "V-7", Kind: "service", Level: "full", Site: "site-1", Serial: "M-1", Class: "c", Started: "2026-05-04T08:10:00+02:00", EndedAs: "completed"},
		Acceptance:     verdict.Acceptance{Value: verdict.Accepted},
		Serviceability: verdict.Undetermined,
		Completion:     verdict.Full,
		NeedsAttention: true,
		Restrictions:   []verdict.Restriction{{ID: "R-1", NotToDo: "no room under 50 °F", Until: "2026-06-01"}},
		Outcomes: []verdict.Outcome{{
			Rule: "condition.battery.a", Subject: "cell B1.2", Concern: verdict.Condition, Severity: verdict.Major, Outcome: verdict.Nonconforming,
			Title: "It is as it should be", Statement: "Cell B1.2 is at 25 °F, at least 10 °F above 19 °F is safe; 0.124 in above the plates, 3 in all.",
			Why: "At 125 °F acid boils.", Remedy: "Cover by at most 1/8 in.", Cautions: []string{"Keep 3 ft away."},
			Facts: []verdict.Fact{
				{Name: "level", Text: "0.124 in", Value: "0.124", Unit: "in", Pointer: "/level"},
				{Name: "margin", Text: "10 °F", Value: "10", Unit: "degF-diff", Limit: "battery.above min", Mark: "common practice"},
				{Name: "point", Text: "19 °F", Value: "19", Unit: "degF"},
				{Name: "temperature", Text: "25 °F", Value: "25", Unit: "degF", Pointer: "/t"},
			},
		}},
	}
}

// Every text of a report for people is told in the units asked for; what cannot
// be told for certain, and what a person wrote, stays.
func TestInUnits(t *testing.T) {
	v := measured()
	before, err := verdict.Encode(v)
	if err != nil {
		t.Fatal(err)
	}
	for name, open := range map[string]func(*bytes.Buffer) reports.Report{
		"text":     func(b *bytes.Buffer) reports.Report { return reports.NewText(b, reports.TextOptions{}) },
		"markdown": func(b *bytes.Buffer) reports.Report { return reports.NewMarkdown(b, reports.MarkdownOptions{}) },
	} {
		t.Run(name, func(t *testing.T) {
			told := func(to reports.Units) string {
				var out bytes.Buffer
				r := reports.InUnits(open(&out), to)
				for _, err := range []error{r.Visit(reports.Visit{Verdict: v}), r.End(reports.Summary{})} {
					if err != nil {
						t.Fatal(err)
					}
				}
				return strings.Join(strings.Fields(out.String()), " ")
			}
			plain, us, si := told(reports.UnitsAsRecorded), told(reports.UnitsUS), told(reports.UnitsSI)
			if us != plain {
				t.Errorf("all was written in US units, and yet:\n%s\nis not\n%s", us, plain)
			}
			for _, want := range []string{
				"at -3.9 °C (25 °F as recorded)", "at least 5.6 °C (10 °F as written) above -7.2 °C (19 °F as written)",
				"3.15 mm (0.124 in as recorded) above the plates, 3 in all", "At 125 °F acid boils", "at most 3.2 mm (1/8 in as written)",
				"Keep 0.9 m (3 ft as written) away", "no room under 50 °F",
			} {
				if !strings.Contains(si, want) {
					t.Errorf("%q is not in\n%s", want, si)
				}
			}
		})
	}
	after, err := verdict.Encode(v)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(before, after) {
		t.Error("the verdict itself was changed")
	}
}

// In the text report, the limit that a finding was held to is told so too, and
// the lines keep to their width.
func TestInUnitsLimits(t *testing.T) {
	var out bytes.Buffer
	if err := reports.InUnits(reports.NewText(&out, reports.TextOptions{}), reports.UnitsSI).Visit(reports.Visit{Verdict: measured()}); err != nil {
		t.Fatal(err)
	}
	if want := "limit  battery.above min 5.6 °C (10 °F as written) (common practice)"; !strings.Contains(out.String(), want) {
		t.Errorf("%q is not in\n%s", want, out.String())
	}
	for line := range strings.Lines(out.String()) {
		if len([]rune(strings.TrimSuffix(line, "\n"))) > 80 {
			t.Errorf("more than 80 characters: %s", line)
		}
	}
}

// The figures of a sheet are told in the units asked for, and the sheet handed in
// stays as it is. 0.25 in are 6.35 mm and 95 in·lbf 10.7 N·m by NIST SP 811.
func TestSheetInUnits(t *testing.T) {
	recorded := func(text, value, unit string) sheet.Quantity {
		return sheet.Quantity{Text: text, Value: value, Unit: unit, Pointer: "/p"}
	}
	before := &sheet.Sheet{Figures: &sheet.Figures{
		Cells: []sheet.CellRow{{Cell: "B1.1", LevelLeft: []sheet.Level{{
			Level: sheet.Quantity{Text: "0.25 in", Value: "0.25", Unit: "in"}, Reading: recorded("6 mm", "6", "mm"),
		}}}},
		Posts:    []sheet.PostRow{{Post: "B1+", TorqueFound: []sheet.Torque{{Torque: recorded("95 in·lbf", "95", "in.lbf"), Usable: true}}}},
		Weakest:  []sheet.Weakest{{Cell: "B1.1", Corrected: recorded("1.260", "1.260", "sg"), Temperature: recorded("76 °F", "76", "degF")}},
		Readings: []sheet.StepRead{{Allowed: []string{"at least 0.5 in"}}},
	}}
	plain, err := json.Marshal(before)
	if err != nil {
		t.Fatal(err)
	}
	si := reports.SheetInUnits(before, reports.UnitsSI).Figures
	for what, got := range map[string][2]string{
		"level":       {si.Cells[0].LevelLeft[0].Level.Text, "6.4 mm (0.25 in as written)"},
		"reading":     {si.Cells[0].LevelLeft[0].Reading.Text, "6 mm"},
		"torque":      {si.Posts[0].TorqueFound[0].Torque.Text, "10.7 N·m (95 in·lbf as recorded)"},
		"number":      {si.Posts[0].TorqueFound[0].Torque.Value, "10.7"},
		"gravity":     {si.Weakest[0].Corrected.Text, "1.260"},
		"temperature": {si.Weakest[0].Temperature.Text, "24.4 °C (76 °F as recorded)"},
		"allowed":     {si.Readings[0].Allowed[0], "at least 13 mm (0.5 in as written)"},
	} {
		if got[0] != got[1] {
			t.Errorf("%s is told as %q, want %q", what, got[0], got[1])
		}
	}
	if !si.Posts[0].TorqueFound[0].Usable {
		t.Error("what is no quantity was not copied")
	}
	if after, err := json.Marshal(before); err != nil || !bytes.Equal(after, plain) {
		t.Errorf("the sheet handed in was changed: %s, %v", after, err)
	}
	if us := reports.SheetInUnits(before, reports.UnitsUS).Figures.Cells[0].LevelLeft[0].Reading.Text; us != "0.24 in (6 mm as recorded)" {
		t.Errorf("in US units the reading is told as %q", us)
	}
}
