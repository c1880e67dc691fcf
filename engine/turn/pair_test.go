package turn_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/visitgauge/visitgauge/engine/turn"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// TestPairs: what is answered alike is left out, what only one side was asked is there,
// and cell 10 comes after cell 2.
func TestPairs(t *testing.T) {
	o := func(rule, subject string, value verdict.Value, severity verdict.Severity) verdict.Outcome {
		return verdict.Outcome{Rule: rule, Subject: subject, Outcome: value, Severity: severity}
	}
	was := []verdict.Outcome{
		o("b.rule", "cell B1.10", verdict.Conforming, verdict.Major), o("b.rule", "cell B1.2", verdict.Nonconforming, verdict.Minor),
		o("a.rule", "visit", verdict.Conforming, verdict.Minor), o("c.rule", "visit", verdict.Conforming, verdict.Minor),
	}
	is := []verdict.Outcome{
		o("a.rule", "visit", verdict.Conforming, verdict.Critical), o("b.rule", "cell B1.2", verdict.Nonconforming, verdict.Major),
		o("b.rule", "cell B1.10", verdict.Nonconforming, verdict.Major), o("d.rule", "visit", verdict.NotApplicable, verdict.Minor),
	}
	var got []string
	for _, p := range turn.Pairs(was, is) {
		got = append(got, fmt.Sprintf("%s %s: %s to %s", p.Rule, p.Subject, p.From(), p.To()))
	}
	want := []string{
		"b.rule cell B1.2: nonconforming, minor to nonconforming, major",
		"b.rule cell B1.10: conforming to nonconforming, major",
		"c.rule visit: conforming to not asked",
		"d.rule visit: not asked to spared",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if turn.Pairs(was, was) != nil {
		t.Error("a verdict differs from itself")
	}
}
