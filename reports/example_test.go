package reports_test

import (
	"fmt"
	"os"

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
