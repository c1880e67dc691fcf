package reports_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports"
)

// A report is told of verdicts one by one, and at the end what they come to.
func ExampleNewText() {
	v := &verdict.Verdict{
		Visit: verdict.Visit{ID: "V-7", Kind: "service", Level: "full", Site: "site-1", Serial: "M-1", Class: "walk-behind-flooded",
			Started: "2026-05-04T08:10:00+02:00", EndedAs: "completed", Digest: "sha256:00"},
		Release:        verdict.Release{Version: "1.0.0", Digest: "h1:00"},
		Acceptance:     verdict.Acceptance{Value: verdict.Accepted},
		Serviceability: verdict.Undetermined,
		Completion:     verdict.Full,
		NeedsAttention: true,
		Outcomes: []verdict.Outcome{{
			Rule: "condition.battery.weak_cell", Subject: "cell B1.2", Concern: verdict.Condition, Severity: verdict.Major,
			Outcome: verdict.Nonconforming, Title: "No cell lies far under the others", Pointer: "/battery/cells/1/gravity/as_found",
			Statement: "cell B1.2 reads 1.210", Remedy: "raise a follow-up", Who: "specialist",
		}},
	}
	var summary reports.Summary
	summary.Tally.Add(v)
	r := reports.NewText(os.Stdout, reports.TextOptions{})
	for _, err := range []error{r.Visit(reports.Visit{Verdict: v}), r.End(summary)} {
		if err != nil {
			fmt.Println(err)
		}
	}
	// Output:
	// Visit V-7: walk-behind-flooded M-1 at site-1, 2026-05-04
	//   kind     service, level full, ended as completed
	//   visit    accepted: it was done as it must be
	//   machine  undetermined: its state is not known well enough to say
	//   service  full: all of it was done
	//
	//   To put right
	//
	//   major  must be: No cell lies far under the others
	//     [condition.battery.weak_cell]
	//     - Cell B1.2 reads 1.210.
	//       at /battery/cells/1/gravity/as_found
	//     do     Raise a follow-up.
	//     who    specialist
	//
	//   release  1.0.0 h1:00
	//   record   sha256:00
	//
	// 1 visit: 1 accepted; machine left: 1 undetermined; 1 needs attention
}

// small is a verdict with one finding.
func small() *verdict.Verdict {
	return &verdict.Verdict{
		Visit:          verdict.Visit{ID: "V-7", Serial: "M-1", Class: "walk-behind-flooded", Site: "site-1", Started: "2026-05-04T08:10:00+02:00", Digest: "sha256:00"},
		Acceptance:     verdict.Acceptance{Value: verdict.Accepted},
		Serviceability: verdict.Undetermined,
		Completion:     verdict.Full,
		Release:        verdict.Release{Version: "1.0.0", Digest: "h1:00"},
		NeedsAttention: true,
		Outcomes: []verdict.Outcome{{
			Rule: "condition.battery.weak_cell", Subject: "cell B1.2", Concern: verdict.Condition, Severity: verdict.Major,
			Outcome: verdict.Nonconforming, Title: "No cell lies far under the others", Pointer: "/battery/cells/1/gravity/as_found",
			Statement: "cell B1.2 reads 1.210", Why: "A weak cell drags the others down.", Remedy: "raise a follow-up", Who: "specialist",
		}},
	}
}

// tell tells a report of the small verdict.
func tell(r reports.Report) {
	v := small()
	var summary reports.Summary
	summary.Tally.Add(v)
	if err := errors.Join(r.Visit(reports.Visit{Verdict: v}), r.End(summary)); err != nil {
		fmt.Println(err)
	}
}

// What a program has no place for is told in words, here to nobody.
func ExampleNewCSV() {
	var out bytes.Buffer
	tell(reports.NewCSV(&out, io.Discard))
	rows, err := csv.NewReader(&out).ReadAll()
	fmt.Println(rows[1][0], rows[1][15], rows[1][16], err)
	// Output: V-7 cell B1.2 nonconforming <nil>
}

func ExampleNewJUnit() {
	var out bytes.Buffer
	tell(reports.NewJUnit(&out, io.Discard))
	for line := range strings.Lines(out.String()) {
		if strings.Contains(line, "<testsuite ") {
			fmt.Print(line)
		}
	}
	// Output:
	// <testsuite name="visit V-7" tests="3" failures="1" errors="1" skipped="0">
	//   <testsuite name="run" tests="1" failures="0" errors="0" skipped="0">
}

func ExampleNewSARIF() {
	var out bytes.Buffer
	tell(reports.NewSARIF(&out, io.Discard))
	var log struct {
		Runs []struct {
			Results []struct{ RuleID, Kind, Level string }
		}
	}
	err := json.Unmarshal(out.Bytes(), &log)
	for _, r := range log.Runs[0].Results {
		fmt.Println(r.RuleID, r.Kind, r.Level)
	}
	fmt.Println(err)
	// Output:
	// answer.visit.accepted pass none
	// answer.machine.serviceable fail error
	// condition.battery.weak_cell fail error
	// <nil>
}

func ExampleNewMarkdown() {
	tell(reports.NewMarkdown(os.Stdout, reports.MarkdownOptions{}))
	// Output:
	// ## Visit V-7: walk-behind-flooded M-1 at site-1, 2026-05-04
	//
	// - **visit** accepted: it was done as it must be
	// - **machine** undetermined: its state is not known well enough to say
	// - **service** full: all of it was done
	//
	// ### To put right
	//
	// - **major** must be: No cell lies far under the others. `condition.battery.weak_cell`
	//   - Cell B1.2 reads 1.210.
	//     - at `/battery/cells/1/gravity/as_found`
	//   - **why** A weak cell drags the others down.
	//   - **do** Raise a follow-up.
	//   - **who** specialist
	//
	// Release 1.0.0 `h1:00`, record `sha256:00`
	//
	// ## In all
	//
	// 1 visit: 1 accepted; machine left: 1 undetermined; 1 needs attention.
}
