package verdict_test

import (
	"fmt"
	"slices"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

func ExampleCount() {
	counts := verdict.Count([]verdict.Outcome{
		{Outcome: verdict.Conforming},
		{Outcome: verdict.Nonconforming, Severity: verdict.Major, ConcededBy: "C-4"},
		{Outcome: verdict.Nonconforming, Severity: verdict.Critical},
		{Outcome: verdict.Indeterminate, Because: verdict.State},
	})
	fmt.Println(counts.Conforming, counts.Nonconforming.Total(), counts.Indeterminate.State, counts.Conceded)
	// Output: 1 2 1 1
}

func ExampleCompareSubjects() {
	subjects := []string{"cell B1.10", "cell B1.2", "block B2"}
	slices.SortFunc(subjects, verdict.CompareSubjects)
	fmt.Println(subjects)
	// Output: [block B2 cell B1.2 cell B1.10]
}

func ExampleCanonical() {
	out, err := verdict.Canonical(map[string]any{"unit": "in.lbf", "value": 95.50})
	fmt.Println(string(out), err)
	// Output: {"unit":"in.lbf","value":95.5} <nil>
}
