package reports_test

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/joshdk/go-junit"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports"
)

func itoa(n int) string { return strconv.Itoa(n) }

// one is a verdict with one outcome, and the answers given.
func one(o verdict.Outcome, accepted verdict.AcceptanceValue, machine verdict.Serviceability) *verdict.Verdict {
	o.Subject, o.Title, o.Statement = "cell B1.2", "No cell lies far under the others", "cell B1.2 reads 1.210"
	if o.Concern == "" {
		o.Concern = verdict.Procedure
	}
	o.Rule = string(o.Concern) + ".area.name"
	return &verdict.Verdict{
		Visit:      verdict.Visit{ID: "V-7", Started: "2026-05-04T08:10:00+02:00"},
		Acceptance: verdict.Acceptance{Value: accepted}, Serviceability: machine, Outcomes: []verdict.Outcome{o},
	}
}

// suites are what a reader of JUnit XML, which is none of ours, makes of a report.
// It holds the counts of every suite to what its testcases are.
func suites(t testing.TB, visits []reports.Visit, refusals ...reports.Refusal) []junit.Suite {
	t.Helper()
	report, _ := written(t, ".xml", visits, refusals...)
	read, err := junit.Ingest([]byte(report))
	if err != nil {
		t.Fatalf("%v\n%s", err, report)
	}
	for _, s := range read {
		counted := fmt.Sprintf(`name="%s" tests="%d" failures="%d" errors="%d" skipped="%d"`,
			s.Name, s.Totals.Tests, s.Totals.Failed, s.Totals.Error, s.Totals.Skipped)
		if !strings.Contains(report, counted) {
			t.Errorf("the counts of suite %q are not %s", s.Name, counted)
		}
	}
	return read
}

// TestJUnitGate: what a gate sees of each kind of outcome, and of each pair of
// answers.
func TestJUnitGate(t *testing.T) {
	const non, ind = verdict.Nonconforming, verdict.Indeterminate
	tests := []struct {
		name    string
		outcome verdict.Outcome
		want    junit.Status
	}{
		{"conforming", verdict.Outcome{Outcome: verdict.Conforming, Severity: verdict.Critical}, junit.StatusPassed},
		{"not applicable", verdict.Outcome{Outcome: verdict.NotApplicable, Severity: verdict.Critical}, junit.StatusSkipped},
		{"critical", verdict.Outcome{Outcome: non, Severity: verdict.Critical}, junit.StatusFailed},
		{"critical on the machine", verdict.Outcome{Outcome: non, Severity: verdict.Critical, Concern: verdict.Condition}, junit.StatusFailed},
		{"major", verdict.Outcome{Outcome: non, Severity: verdict.Major}, junit.StatusFailed},
		{"minor", verdict.Outcome{Outcome: non, Severity: verdict.Minor}, junit.StatusSkipped},
		{"conceded", verdict.Outcome{Outcome: non, Severity: verdict.Major, ConcededBy: "C-4"}, junit.StatusSkipped},
		{"of the plan", verdict.Outcome{Outcome: non, Severity: verdict.Major, Concern: verdict.Programme}, junit.StatusSkipped},
		{"no evidence", verdict.Outcome{Outcome: ind, Severity: verdict.Major, Because: verdict.Evidence}, junit.StatusError},
		{"within the uncertainty", verdict.Outcome{Outcome: ind, Severity: verdict.Critical, Because: verdict.Limit}, junit.StatusError},
		{"a state on record", verdict.Outcome{Outcome: ind, Severity: verdict.Major, Because: verdict.State}, junit.StatusError},
		{"minor, no evidence", verdict.Outcome{Outcome: ind, Severity: verdict.Minor, Because: verdict.Evidence}, junit.StatusSkipped},
	}
	for _, tt := range tests {
		v := one(tt.outcome, verdict.Accepted, verdict.Serviceable)
		test := suites(t, []reports.Visit{{Verdict: v}})[0].Tests[2]
		if test.Status != tt.want || test.Classname != v.Outcomes[0].Rule || test.Name != v.Outcomes[0].Title {
			t.Errorf("%s: %s of %s, %q; want %s", tt.name, test.Status, test.Classname, test.Name, tt.want)
		}
		if tt.want != junit.StatusPassed && !strings.Contains(test.Message, "Cell B1.2 reads 1.210") {
			t.Errorf("%s: its message is %q", tt.name, test.Message)
		}
		if c := tt.outcome.ConcededBy; !strings.Contains(test.Message, c) {
			t.Errorf("%s: the concession is not in its message, %q", tt.name, test.Message)
		}
	}

	// Of several subjects the gravest decides, and is named first.
	several := one(verdict.Outcome{Outcome: verdict.NotApplicable}, verdict.Accepted, verdict.Serviceable)
	for _, o := range []verdict.Outcome{
		{Outcome: non, Severity: verdict.Minor}, {Outcome: verdict.Conforming}, {Outcome: ind, Severity: verdict.Critical, Because: verdict.Evidence},
		{Outcome: non, Severity: verdict.Major}, {Outcome: non, Severity: verdict.Critical},
	} {
		several.Outcomes = append(several.Outcomes, one(o, "", "").Outcomes[0])
		wants := map[int]junit.Status{2: junit.StatusSkipped, 3: junit.StatusSkipped, 4: junit.StatusError, 5: junit.StatusFailed, 6: junit.StatusFailed}
		tests := suites(t, []reports.Visit{{Verdict: several}})[0].Tests
		if n := len(several.Outcomes); len(tests) != 3 || tests[2].Status != wants[n] {
			t.Errorf("of %d outcomes of one rule: %+v, want one that is %s", n, tests[2:], wants[n])
		}
	}
	if m := suites(t, []reports.Visit{{Verdict: several}})[0].Tests[2].Message; !strings.HasPrefix(m, "CRITICAL nonconforming: ") || !strings.HasSuffix(m, "And 4 more.") {
		t.Errorf("the gravest is not named first: %s", m)
	}

	fine := verdict.Outcome{Outcome: verdict.Conforming}
	accept := map[verdict.AcceptanceValue]junit.Status{
		verdict.Accepted: junit.StatusPassed, verdict.Rejected: junit.StatusFailed, verdict.Incomplete: junit.StatusError, "unheard of": junit.StatusError,
	}
	serve := map[verdict.Serviceability]junit.Status{
		verdict.Serviceable: junit.StatusPassed, verdict.Restricted: junit.StatusFailed, verdict.Unserviceable: junit.StatusFailed,
		verdict.Undetermined: junit.StatusError, "unheard of": junit.StatusError,
	}
	for a, wantVisit := range accept {
		for m, wantMachine := range serve {
			tests := suites(t, []reports.Visit{{Verdict: one(fine, a, m)}})[0].Tests
			if tests[0].Status != wantVisit || tests[1].Status != wantMachine {
				t.Errorf("%s and %s: %s and %s, want %s and %s", a, m, tests[0].Status, tests[1].Status, wantVisit, wantMachine)
			}
		}
	}

	// What was refused, or not reached, is an error whatever the visits are.
	good := []reports.Visit{{Verdict: one(fine, verdict.Accepted, verdict.Serviceable)}}
	for _, r := range []reports.Refusal{refused, {Earlier: true, Problems: refused.Problems}, {Saved: true, Problems: refused.Problems}} {
		read := suites(t, good, r)
		if len(read) != 3 || read[1].Totals.Error != 1 || read[2].Totals.Error != 1 {
			t.Errorf("refused %+v: suites are %+v", r, read)
		}
	}
	if read := suites(t, good); read[len(read)-1].Totals.Passed != 1 || read[len(read)-1].Totals.Tests != 1 {
		t.Errorf("all was judged, and the last suite is %+v", read[len(read)-1])
	}
	if read := suites(t, nil); len(read) != 1 || read[0].Totals.Passed != 1 {
		t.Errorf("of no visit the suites are %+v", read)
	}
}

// A log of SARIF, as far as the tests look into it.
type sarifLog struct {
	Runs []struct {
		Results []struct {
			RuleID       string
			RuleIndex    int
			Kind, Level  string
			Message      struct{ Text string }
			Suppressions []struct{ Kind, Status, Justification string }
			Locations    []struct {
				PhysicalLocation struct {
					ArtifactLocation struct{ URI string }
					Region           struct{ StartLine, StartColumn int }
				}
				LogicalLocations []struct{ Name, FullyQualifiedName string }
			}
			PartialFingerprints map[string]string
		}
		Invocations []struct {
			ExecutionSuccessful        bool
			ToolExecutionNotifications []struct {
				Level   string
				Message struct{ Text string }
			}
		}
		Tool struct {
			Driver struct {
				Rules []struct {
					ID   string
					Help struct{ Text string }
				}
			}
		}
	}
}

func sarif(t testing.TB, visits []reports.Visit, refusals ...reports.Refusal) sarifLog {
	t.Helper()
	report, _ := written(t, ".sarif", visits, refusals...)
	var log sarifLog
	if err := json.Unmarshal([]byte(report), &log); err != nil {
		t.Fatalf("%v\n%s", err, report)
	}
	return log
}

func TestSARIFKindsAndLevels(t *testing.T) {
	const non, ind = verdict.Nonconforming, verdict.Indeterminate
	for _, tt := range []struct {
		outcome verdict.Outcome
		want    string
	}{
		{verdict.Outcome{Outcome: verdict.Conforming, Severity: verdict.Critical}, "pass none"},
		{verdict.Outcome{Outcome: verdict.NotApplicable, Severity: verdict.Critical}, "notApplicable none"},
		{verdict.Outcome{Outcome: non, Severity: verdict.Critical}, "fail error"},
		{verdict.Outcome{Outcome: non, Severity: verdict.Major, Concern: verdict.Condition}, "fail error"},
		{verdict.Outcome{Outcome: non, Severity: verdict.Minor}, "fail warning"},
		{verdict.Outcome{Outcome: non, Severity: verdict.Major, Concern: verdict.Programme}, "fail note"},
		{verdict.Outcome{Outcome: non, Severity: verdict.Major, ConcededBy: "C-4"}, "fail error C-4"},
		{verdict.Outcome{Outcome: ind, Severity: verdict.Critical, Because: verdict.Limit}, "open none"},
	} {
		results := sarif(t, []reports.Visit{{Verdict: one(tt.outcome, verdict.Accepted, verdict.Serviceable)}}).Runs[0].Results
		r := results[2]
		got := r.Kind + " " + r.Level
		if len(r.Suppressions) > 0 {
			got += " C-4"
			if s := r.Suppressions[0]; s.Kind != "external" || s.Status != "accepted" || !strings.Contains(s.Justification, "C-4") {
				t.Errorf("suppressed by %+v", s)
			}
		}
		if got != tt.want {
			t.Errorf("%+v: %s, want %s", tt.outcome, got, tt.want)
		}
		for _, r := range results {
			if r.Suppressions == nil {
				t.Errorf("%s has no list of suppressions, and others have", r.RuleID)
			}
		}
	}
	for a, level := range map[verdict.AcceptanceValue]string{verdict.Accepted: "pass none", verdict.Rejected: "fail error", verdict.Incomplete: "fail error", "": "fail error"} {
		for m, machine := range map[verdict.Serviceability]string{verdict.Serviceable: "pass none", verdict.Restricted: "fail warning", verdict.Undetermined: "fail error", verdict.Unserviceable: "fail error", "": "fail error"} {
			r := sarif(t, []reports.Visit{{Verdict: one(verdict.Outcome{Outcome: verdict.Conforming}, a, m)}}).Runs[0].Results
			if got := r[0].Kind + " " + r[0].Level; got != level {
				t.Errorf("a visit that is %q: %s, want %s", a, got, level)
			}
			if got := r[1].Kind + " " + r[1].Level; got != machine {
				t.Errorf("a machine that is %q: %s, want %s", m, got, machine)
			}
		}
	}
}

// A run in which something was refused is no success.
func TestSARIFTellsOfRefusals(t *testing.T) {
	v := []reports.Visit{{Verdict: one(verdict.Outcome{Outcome: verdict.Conforming}, verdict.Accepted, verdict.Serviceable)}}
	if i := sarif(t, v).Runs[0].Invocations[0]; !i.ExecutionSuccessful || len(i.ToolExecutionNotifications) > 0 {
		t.Errorf("nothing was refused: %+v", i)
	}
	i := sarif(t, v, refused).Runs[0].Invocations[0]
	if i.ExecutionSuccessful || len(i.ToolExecutionNotifications) != len(refused.Problems) {
		t.Errorf("a record was refused: %+v", i)
	}
	for _, n := range i.ToolExecutionNotifications {
		if n.Level != "error" {
			t.Errorf("%q is of level %q", n.Message.Text, n.Level)
		}
	}
	var many reports.Refusal
	for range 6000 {
		many.Problems = append(many.Problems, refused.Problems[0])
	}
	n := sarif(t, nil, many, many).Runs[0].Invocations[0].ToolExecutionNotifications
	if last := n[len(n)-1].Message.Text; len(n) != 10_001 || !strings.HasPrefix(last, "2000 more problems") {
		t.Errorf("of 12000 problems %d are listed; the last says %q", len(n), last)
	}
}

// Where a finding stands, and by what it is known again.
func TestSARIFLocatesFindings(t *testing.T) {
	o := verdict.Outcome{Outcome: verdict.Nonconforming, Severity: verdict.Major, Pointer: "/battery/cells/1"}
	v := one(o, verdict.Rejected, verdict.Serviceable)
	place := func(pointer string) (int, int, bool) { return 12, 7, pointer == o.Pointer }
	for source, uri := range map[string]string{
		"visits/a.json":        "visits/a.json",
		"week 19/ä#1?%.json":   "week%2019/%C3%A4%231%3F%25.json",
		"a:b.json":             "./a:b.json",
		"/srv/visits/a b.json": "file:///srv/visits/a%20b.json",
		"javascript:x":         "./javascript:x",
	} {
		r := sarif(t, []reports.Visit{{Verdict: v, Source: source, Place: place}}).Runs[0].Results[2]
		at := r.Locations[0]
		if p := at.PhysicalLocation; p.ArtifactLocation.URI != uri || p.Region.StartLine != 12 || p.Region.StartColumn != 7 {
			t.Errorf("%s: %+v, want %s, 12, 7", source, p, uri)
		}
		if l := at.LogicalLocations[0]; l.Name != "cell B1.2" || l.FullyQualifiedName != o.Pointer {
			t.Errorf("logical location %+v", l)
		}
	}
	// A value that is not there is looked for in what should hold it.
	for in, want := range map[string]int{"/battery": 3, "": 1} {
		place := func(pointer string) (int, int, bool) { return want, 1, pointer == in }
		r := sarif(t, []reports.Visit{{Verdict: v, Source: "a.json", Place: place}}).Runs[0].Results[2]
		if got := r.Locations[0].PhysicalLocation.Region.StartLine; got != want {
			t.Errorf("of what should stand in %q the line is %d, want %d", in, got, want)
		}
	}
	mark := func(v *verdict.Verdict) string {
		return sarif(t, []reports.Visit{{Verdict: v}}).Runs[0].Results[2].PartialFingerprints["visitRuleSubject/v1"]
	}
	base := mark(v)
	same, other := *v, *v
	same.Outcomes = []verdict.Outcome{v.Outcomes[0]}
	same.Outcomes[0].Statement, same.Outcomes[0].Outcome, same.Visit.Digest = "reads 1.290", verdict.Conforming, "sha256:1"
	other.Outcomes = []verdict.Outcome{v.Outcomes[0]}
	other.Outcomes[0].Subject = "cell B1.3"
	if base == "" || mark(&same) != base || mark(&other) == base {
		t.Errorf("fingerprints %q, of the same finding %q, of another %q", base, mark(&same), mark(&other))
	}
}
