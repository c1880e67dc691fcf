package replay

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/engine/turn"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// Digests of invented releases, in the form in which digests are.
var (
	digestOld    = "h1:" + strings.Repeat("O", 43) + "="
	digestNew    = "h1:" + strings.Repeat("N", 43) + "="
	digestFolder = "h1:" + strings.Repeat("F", 43) + "="
)

func said(outcome verdict.Value, because verdict.Because, severity verdict.Severity, statement string) *replay.Said {
	return &replay.Said{Outcome: outcome, Because: because, Severity: severity, Statement: statement}
}

// sample is an invented replay that has something of everything. Text stands wherever
// a record or a release can put text of its own.
func sample(text string) *replay.Replay {
	const gravity, spread, gone = "condition.battery.full_charge_gravity", "condition.battery.gravity_spread", "programme.duty.usual_share"
	title := "Every cell reaches the gravity of a full charge" + text
	low := func(n int) replay.OutcomeChange {
		o := replay.OutcomeChange{Rule: gravity, Title: title, Subject: fmt.Sprintf("cell B1.%d", n),
			Old: said(verdict.Conforming, "", verdict.Major, title), New: said(verdict.Nonconforming, "", verdict.Major, fmt.Sprintf("Cell B1.%d reads 1.26%d; a full charge reads at least 1.268.%s", n, n, text))}
		o.New.Facts = []verdict.Fact{{Name: "coldest", Text: "40 °F", Limit: "battery.gravity_temperature min"}, {Name: "full_charge", Text: "1.268", Limit: "battery.full_charge_gravity min"},
			{Name: "reading", Text: fmt.Sprintf("1.26%d", n) + text}}
		return o
	}
	accepted := replay.Answers{Acceptance: verdict.Accepted, Serviceability: verdict.Serviceable, Completion: verdict.Full}
	rejected := replay.Answers{Acceptance: verdict.Rejected, Serviceability: verdict.Undetermined, Completion: verdict.Full}
	return &replay.Replay{
		Schema: replay.Schema, WhatIf: replay.WhatIf,
		New:      replay.Release{Name: "2.0.0", State: "draft", Digest: digestNew},
		Against:  "the release in force on the day of the visit",
		Old:      []replay.Used{{Release: replay.Release{Name: "1.0.0", State: "released", Digest: digestOld}, Visits: 5}, {Release: replay.Release{Name: "folder" + text, Digest: digestFolder}, Visits: 1}},
		Selected: replay.Of(archive.Filter{From: "2026-01-01", Sites: []string{"site-01" + text}}, []string{"hy-07"}),
		Visits:   replay.Visits{Selected: 8, Judged: 6, Differ: 3, Turned: 2, NotAsked: 2},
		Acceptance: []replay.Transition{{Old: "accepted", New: "accepted", Count: 3}, {Old: "accepted", New: "rejected", Count: 2},
			{Old: "incomplete", New: "incomplete", Count: 1}},
		Serviceability: []replay.Transition{{Old: "serviceable", New: "serviceable", Count: 4}, {Old: "serviceable", New: "undetermined", Count: 2}},
		Completion:     []replay.Transition{{Old: "full", New: "full", Count: 6}},
		Months: []replay.Month{{Month: "2026-01", Visits: 4, OldAccepted: 4, NewAccepted: 2, Differ: 2, Turned: 2},
			{Month: "2026-03", Visits: 2, OldAccepted: 1, NewAccepted: 1, Differ: 1}},
		Rules: []replay.RuleChange{
			{Rule: gravity, Title: title, Severity: "major", Is: "both", Visits: 2, Nonconforming: 6, Direction: turn.Stricter,
				Turned: []turn.Turn{{From: "conforming", To: "nonconforming, major", Count: 6, First: "V-1: cell B1.1"}}},
			{Rule: "procedure.closing.defects_followed_up", Title: "Every defect is followed up", Severity: "major", Is: "both", Visits: 1, Nonconforming: 1, Direction: turn.Stricter, Turned: []turn.Turn{}},
			{Rule: gone, Title: "Each motor runs its usual share", Severity: "minor", Is: "dropped", Visits: 1, Direction: turn.Looser, Turned: []turn.Turn{}},
			{Rule: spread, Title: "The cells lie close together", Severity: "major", Is: "added", NotAsked: 2, Direction: turn.None, Turned: []turn.Turn{}},
		},
		Machines: []replay.MachineChange{{Serial: "WB-1107" + text, Class: "walk-behind-flooded", Site: "site-01", Latest: true, Visits: []replay.MachineVisit{
			{Visit: "V-1", Started: "2026-01-05T08:00:00+01:00", Old: verdict.Serviceable, New: verdict.Undetermined},
			{Visit: "V-2", Started: "2026-01-20T08:00:00+01:00", Old: verdict.Serviceable, New: verdict.Undetermined}}}},
		Changed: []replay.Change{
			{Visit: "V-3", Serial: "WB-1112", Class: "walk-behind-flooded", Site: "site-02", Started: "2026-01-02T08:00:00+01:00", Release: "1.0.0",
				Old: accepted, New: accepted, Concessions: []replay.Conceded{},
				Outcomes: []replay.OutcomeChange{{Rule: gone, Title: "Each motor runs its usual share", Subject: "motor brush" + text, Old: said(verdict.Indeterminate, verdict.State, verdict.Minor, "The brush motor stood still."+text)}}},
			{Visit: "V-1" + text, Serial: "WB-1107", Class: "walk-behind-flooded", Site: "site-01", Started: "2026-01-05T08:00:00+01:00", Release: "1.0.0",
				Old: accepted, New: rejected, Outcomes: []replay.OutcomeChange{low(1), low(2), low(3), low(4), low(5)},
				Concessions: []replay.Conceded{{ID: "C-1" + text, Rule: gravity, Subject: "cell B1.1", New: true}}},
			{Visit: "V-2", Serial: "WB-1107", Class: "walk-behind-flooded", Site: "site-01", Started: "2026-01-20T08:00:00+01:00", Release: "1.0.0",
				Old: accepted, New: rejected, Outcomes: []replay.OutcomeChange{}, Concessions: []replay.Conceded{}},
		},
		Concessions: []replay.Concession{{ID: "C-1", Rule: gravity, Subject: "cell B1.1", Visits: 1, New: 1}},
		NotJudged: []replay.NotJudged{{Visit: "V-8", Why: replay.Redacted, What: "on 2026-06-01: asked for" + text},
			{Visit: "V-9", Why: replay.NoRelease, What: "no release of the rules was in force"}},
		Recorded: &replay.Reproduction{Schema: replay.ReproductionSchema, Selected: replay.Of(archive.Filter{}, nil), Visits: 8, Same: 5,
			By:         []replay.Used{{Release: replay.Release{Name: "1.0.0", State: "released", Digest: digestOld}, Visits: 6}},
			Differ:     []replay.Differing{{Visit: "V-2" + text, Release: "1.0.0", Was: "sha256:" + strings.Repeat("a", 64), Is: "sha256:" + strings.Repeat("b", 64), What: "it was accepted and is rejected" + text}},
			NotReached: []replay.NotJudged{{Visit: "V-8", Why: replay.Redacted, What: "on 2026-06-01: asked for"}, {Visit: "V-9", Why: replay.NeverJudged, What: "the archive holds no verdict of it"}}},
	}
}

// nothing is a replay in which nothing differs.
func nothing() *replay.Replay {
	return &replay.Replay{Schema: replay.Schema, WhatIf: replay.WhatIf, New: replay.Release{Name: "1.0.0", State: "withdrawn", Digest: digestOld}, Against: "release 1.0.0",
		Old: []replay.Used{{Release: replay.Release{Name: "1.0.0", State: "withdrawn", Digest: digestOld}, Visits: 1}}, Selected: replay.Of(archive.Filter{}, nil),
		Visits:     replay.Visits{Selected: 1, Judged: 1},
		Acceptance: []replay.Transition{{Old: "accepted", New: "accepted", Count: 1}}, Serviceability: []replay.Transition{{Old: "restricted", New: "restricted", Count: 1}},
		Completion: []replay.Transition{{Old: "full", New: "full", Count: 1}}, Months: []replay.Month{{Month: "2026-01", Visits: 1, OldAccepted: 1, NewAccepted: 1}},
		Rules: []replay.RuleChange{}, Machines: []replay.MachineChange{}, Changed: []replay.Change{}, Concessions: []replay.Concession{}, NotJudged: []replay.NotJudged{}}
}

// forms write a replay in each form.
var forms = map[string]func(*replay.Replay) ([]byte, error){
	"txt":  func(r *replay.Replay) ([]byte, error) { return workshop.Render(workshop.Text, r, Report{r}.Page) },
	"md":   func(r *replay.Replay) ([]byte, error) { return workshop.Render(workshop.Markdown, r, Report{r}.Page) },
	"html": func(r *replay.Replay) ([]byte, error) { return written(HTML, r) },
	"csv":  func(r *replay.Replay) ([]byte, error) { return written(CSV, r) },
}

func written(write func(io.Writer, *replay.Replay) error, r *replay.Replay) ([]byte, error) {
	var b bytes.Buffer
	err := write(&b, r)
	return b.Bytes(), err
}

// TestGolden compares each form with what was read and found good.
func TestGolden(t *testing.T) {
	for name, r := range map[string]*replay.Replay{"sample": sample(""), "nothing": nothing(), "none": {WhatIf: replay.WhatIf, New: replay.Release{Name: "2.0.0"}}} {
		for form, write := range forms {
			got, err := write(r)
			if err != nil {
				t.Fatal(err)
			}
			saysSo(t, name+"."+form, string(got), r)
			file := filepath.Join("testdata", name+"."+form)
			if *update {
				if err := os.WriteFile(file, got, 0o666); err != nil {
					t.Fatal(err)
				}
				continue
			}
			want, err := os.ReadFile(file)
			if err != nil || !bytes.Equal(got, want) {
				t.Errorf("%s: it is another; run with -update and read the difference (%v)", file, err)
			}
		}
	}
}

// saysSo demands that what was written says that it is a what-if: a page at its top, at
// the foot of each printed one and at its end, a table in every row.
func saysSo(t *testing.T, file, got string, r *replay.Replay) {
	t.Helper()
	want := 1
	switch filepath.Ext(file) {
	case ".csv":
		for i, line := range strings.Split(strings.TrimSuffix(got, "\r\n"), "\r\n") {
			if first, _, _ := strings.Cut(line, ","); i > 0 && first != notVerdict || i == 0 && first != "what_if" {
				t.Errorf("%s: row %d does not say so first: %s", file, i, line)
			}
		}
		return
	case ".html":
		want = 3
	default:
		if r.Differs() {
			want = 2
		}
	}
	if n := strings.Count(strings.Join(strings.Fields(got), " "), replay.WhatIf); n != want {
		t.Errorf("%s says %d times that it is a what-if, want %d", file, n, want)
	}
}

// TestReproductionGolden does so for recorded verdicts reached again.
func TestReproductionGolden(t *testing.T) {
	r := sample("").Recorded
	got, err := workshop.Render(workshop.Text, r, Reproduction{r}.Page)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join("testdata", "recorded.txt")
	if *update {
		if err := os.WriteFile(file, got, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if want, err := os.ReadFile(file); err != nil || !bytes.Equal(got, want) {
		t.Errorf("it is another; run with -update and read the difference (%v)\n%s", err, got)
	}
}

// TestManyVisits says how many are not told one by one, and tells those first of which
// an answer turned.
func TestManyVisits(t *testing.T) {
	r := sample("")
	quiet := r.Changed[0]
	for range mostOnPage {
		r.Changed = append([]replay.Change{quiet}, r.Changed...)
	}
	first, more := told(r, mostOnPage)
	if len(first) != mostOnPage || more != 3 || !first[0].Turned() || !first[1].Turned() || first[2].Turned() {
		t.Errorf("%d told, %d more", len(first), more)
	}
	page, err := written(HTML, r)
	if err != nil || !bytes.Contains(page, []byte("3 more visits are not told here")) {
		t.Errorf("the page does not say that there are more: %v", err)
	}
}
