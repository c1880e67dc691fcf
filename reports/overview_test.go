package reports_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports"
)

// visited is an invented visit without findings, on a day of 2026.
func visited(id, serial, day string) reports.Visit {
	return reports.Visit{
		Verdict: &verdict.Verdict{
			Visit: verdict.Visit{ID: id, Kind: "service", Level: "full", Site: "site-1", Serial: serial, Class: "c",
				Started: day + "T08:00:00+02:00", Ended: day + "T09:30:00+02:00", EndedAs: "completed"},
			Acceptance: verdict.Acceptance{Value: verdict.Accepted}, Serviceability: verdict.Serviceable, Completion: verdict.Full,
			Outcomes: []verdict.Outcome{{Rule: "condition.a.b", Title: "It is sound", Subject: "visit", Concern: verdict.Condition,
				Severity: verdict.Major, Outcome: verdict.Conforming, Statement: "Conforming."}},
		},
		Sheet: &sheet.Sheet{Visit: sheet.Visit{Signatures: sheet.Signatures{Technician: sheet.TechnicianSignature{By: "tech-01"}}}},
	}
}

// found adds a finding to a visit, which then needs attention.
func found(v reports.Visit, rule string, severity verdict.Severity, value verdict.Value) reports.Visit {
	o := verdict.Outcome{Rule: rule, Title: "Rule " + rule, Subject: "step x", Concern: verdict.Condition, Severity: severity, Outcome: value, Statement: "Found."}
	if value == verdict.Indeterminate {
		o.Because = verdict.Evidence
	}
	v.Outcomes = append(v.Outcomes, o)
	v.NeedsAttention, v.Acceptance.Value, v.Serviceability = true, verdict.Rejected, verdict.Undetermined
	return v
}

// overview is the overview of visits as text, in one line.
func overview(t *testing.T, opt reports.OverviewOptions, visits ...reports.Visit) string {
	t.Helper()
	var out bytes.Buffer
	r := reports.NewOverviewText(&out, opt)
	var s reports.Summary
	for _, v := range visits {
		s.Tally.Add(v.Verdict)
		if err := r.Visit(v); err != nil {
			t.Fatal(err)
		}
	}
	if err := r.End(s); err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(out.String()) {
		if len([]rune(line)) > 81 && !strings.Contains(line, "machines left") {
			t.Errorf("more than 80 characters: %s", line)
		}
	}
	return strings.Join(strings.Fields(out.String()), " ")
}

// inOrder demands that texts stand in a text one after the other.
func inOrder(t *testing.T, text string, wants ...string) {
	t.Helper()
	rest := text
	for _, want := range wants {
		_, after, ok := strings.Cut(rest, want)
		if !ok {
			t.Errorf("%q does not come in its order in\n%s", want, text)
			return
		}
		rest = after
	}
}

func TestOverviewTellsTheGravestFirst(t *testing.T) {
	got := overview(t, reports.OverviewOptions{},
		found(visited("V-1", "M-1", "2026-01-05"), "condition.a.open", verdict.Major, verdict.Indeterminate),
		found(visited("V-2", "M-1", "2026-01-06"), "condition.a.low", verdict.Major, verdict.Nonconforming),
		visited("V-3", "M-1", "2026-01-07"),
		found(visited("V-4", "M-2", "2026-01-08"), "condition.a.dark", verdict.Critical, verdict.Indeterminate),
		found(visited("V-5", "M-2", "2026-01-09"), "condition.a.hot", verdict.Critical, verdict.Nonconforming),
		found(visited("V-6", "M-2", "2026-01-04"), "condition.a.low", verdict.Major, verdict.Nonconforming),
	)
	inOrder(t, got, "V-5: day", "CRITICAL, not met: Rule condition.a.hot", "V-6:", "V-2:", "V-4:", "CRITICAL, could not be judged", "V-1:", "Rules that were not met")
	if strings.Contains(got, "V-3:") {
		t.Errorf("a visit that needs nobody is told of: %s", got)
	}
}

// However many there are, each visit that needs a person is there, and nothing is
// kept of the others.
func TestOverviewLosesNoVisitThatNeedsAPerson(t *testing.T) {
	var visits []reports.Visit
	for i := range 3000 {
		v := visited(fmt.Sprintf("V-%d", i), fmt.Sprintf("M-%d", i%7), "2026-01-05")
		if i%3 == 0 {
			v = found(v, "condition.a.low", verdict.Major, verdict.Nonconforming)
		}
		visits = append(visits, v)
	}
	got := overview(t, reports.OverviewOptions{}, visits...)
	if n := strings.Count(got, "gravest finding"); n != 1000 {
		t.Errorf("%d visits are told of, want 1000", n)
	}
	if !strings.Contains(got, "7 machines:") {
		t.Error("there are not 7 machines")
	}
	if !strings.Contains(got, "Rule condition.a.low: not met 1000 of 1000;") {
		t.Errorf("the rule is not counted rightly")
	}
}

// A rule is counted once a visit, and not where it had nothing to judge.
func TestOverviewCountsRulesByVisit(t *testing.T) {
	twice := found(found(visited("V-1", "M-1", "2026-01-05"), "condition.a.low", verdict.Major, verdict.Nonconforming), "condition.a.low", verdict.Major, verdict.Nonconforming)
	spared := visited("V-2", "M-1", "2026-01-06")
	spared.Outcomes = append(spared.Outcomes, verdict.Outcome{Rule: "condition.a.low", Title: "Rule condition.a.low", Subject: "visit", Outcome: verdict.NotApplicable})
	open := found(visited("V-3", "M-1", "2026-01-07"), "condition.a.low", verdict.Major, verdict.Indeterminate)
	fine := visited("V-4", "M-1", "2026-01-08")
	fine.Outcomes = append(fine.Outcomes, verdict.Outcome{Rule: "condition.a.low", Title: "Rule condition.a.low", Subject: "visit", Outcome: verdict.Conforming})
	got := overview(t, reports.OverviewOptions{}, twice, spared, open, fine)
	if want := "Rule condition.a.low: not met 1 of 3; could not be judged 1 of 3; name condition.a.low"; !strings.Contains(got, want) {
		t.Errorf("%q is not in %s", want, got)
	}
}

// The latest visit counts, in whatever order they come in and whatever offset
// their times are written in.
func TestOverviewTakesTheLatestVisitOfAMachine(t *testing.T) {
	late, early := visited("V-2", "M-1", "2026-03-02"), visited("V-1", "M-1", "2026-03-01")
	late.Serviceability, late.NeedsAttention = verdict.Unserviceable, true
	late.Tags = []verdict.Tag{{Tag: "T-1", PlacedIn: "V-2"}}
	late.Restrictions = []verdict.Restriction{{ID: "R-1", Until: "2026-03-01", Expired: true}, {ID: "R-2", Until: "2026-04-01"}}
	// The same moment as 2026-03-01T23:30Z: later than early, though its day is written earlier.
	early.Visit.Started = "2026-03-01T08:00:00+02:00"
	late.Visit.Started = "2026-03-01T23:30:00Z"
	got := overview(t, reports.OverviewOptions{}, late, early)
	inOrder(t, got, "1 machine: 1 unserviceable.", "M-1: site site-1; state unserviceable; latest visit V-2",
		"tag T-1; restriction R-1, which ran out on 2026-03-01; restriction R-2 until 2026-04-01",
		"Tagged machines", "M-1: site site-1; tag T-1; placed in visit V-2")
	if again := overview(t, reports.OverviewOptions{}, early, late); again[strings.Index(again, "Machines, by"):] != got[strings.Index(got, "Machines, by"):] {
		t.Error("the order of the input tells")
	}
}

func TestOverviewTellsWhatIsDueAndCarried(t *testing.T) {
	a, b := visited("V-1", "M-1", "2026-03-01"), visited("V-2", "M-2", "2026-06-01")
	a.Sheet.Figures = &sheet.Figures{Services: []sheet.Service{{Level: "full", Due: []string{"2026-05-31"}}, {Level: "interim"}}}
	b.Sheet.Figures = &sheet.Figures{Services: []sheet.Service{{Level: "full", Due: []string{"2026-06-01"}}}}
	a.Sheet.Open = []sheet.Item{{Item: "F-1", What: "mend it", Severity: "minor", Owner: "us", Due: "2026-04-01", Carried: 3}, {Item: "F-2", What: "look", Carried: 2}}
	got := overview(t, reports.OverviewOptions{}, b, a)
	inOrder(t, got, "F-1: machine M-1; what mend it", "carried 3 times", "Services due", "M-1: site site-1; service full; due 2026-05-31, past on 2026-06-01",
		"M-2: site site-1; service full; due 2026-06-01; latest visit V-2")
	for _, not := range []string{"F-2", "service interim", "was not at hand"} {
		if strings.Contains(got, not) {
			t.Errorf("%q is in %s", not, got)
		}
	}
	a.Sheet = nil
	if got := overview(t, reports.OverviewOptions{}, a, b); !strings.Contains(got, "Of 1 visit the record was not at hand") {
		t.Errorf("it is not said what is not known: %s", got)
	}
}

// signed are visits that a person signed, of which some were not accepted.
func signed(by string, visits, not int) []reports.Visit {
	var out []reports.Visit
	for i := range visits {
		v := visited(fmt.Sprintf("V-%s-%d", by, i), "M-1", "2026-01-05")
		v.Sheet.Visit.Signatures.Technician.By = by
		if i < not {
			v.Acceptance.Value = verdict.Rejected
		}
		out = append(out, v)
	}
	return out
}

// Persons are left out unless asked for; and then told of by twenty visits or
// more, without what the site caused, by id and not by share.
func TestOverviewRatesNobodyUnasked(t *testing.T) {
	visits := append(signed("tech-01", 20, 0), append(signed("tech-02", 19, 19), signed("tech-03", 40, 10)...)...)
	for i := range 25 { // nothing of it is tech-01's doing
		v := signed("tech-01", 1, 1)[0]
		v.Visit.ID, v.Cause = fmt.Sprintf("S-%d", i), verdict.CauseSite
		visits = append(visits, v)
	}
	if got := overview(t, reports.OverviewOptions{}, visits...); strings.Contains(got, "tech-") && strings.Contains(got, "share") {
		t.Errorf("persons are rated unasked: %s", got)
	}
	got := overview(t, reports.OverviewOptions{RateByPerson: true}, visits...)
	// 0 of 20 is 0 to 16 % (Newcombe 1998, table I: 0.1611); 10 of 40 by the formula.
	inOrder(t, got, "tech-01: not accepted 0 of 20; share 0 %; interval 0 to 16 %", "tech-03: not accepted 10 of 40; share 25 %; interval 14 to 40 %")
	if strings.Contains(got, "tech-02: not accepted") || !strings.Contains(got, "1 person with fewer than 20 visits") {
		t.Errorf("nineteen visits are too few: %s", got)
	}
}

// A site that refused what it was told needs a person, however well all went.
func TestOverviewTellsOfARefusal(t *testing.T) {
	v := visited("V-1", "M-1", "2026-03-01")
	v.Sheet.Visit.Told = []sheet.Told{{Role: "site-manager", Answer: "refused"}}
	if got := overview(t, reports.OverviewOptions{}, v); !strings.Contains(got, "V-1: day 2026-03-01; machine M-1; site site-1; the visit is accepted; the machine is serviceable; gravest finding the site refused what it was told") {
		t.Errorf("it is not told: %s", got)
	}
	if got := overview(t, reports.OverviewOptions{}); !strings.Contains(got, "No visit needs a person.") || !strings.Contains(got, "0 machines.") {
		t.Errorf("of no visits: %s", got)
	}
}
