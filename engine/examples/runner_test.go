package examples_test

import (
	"context"
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

// The rules are those of the release that package judge is tested with.
var fixture = os.DirFS("../judge/testdata/release")

var newDecoder = sync.OnceValues(func() (*record.Decoder, error) {
	visits, err := schema.Compile("visit")
	if err != nil {
		return nil, err
	}
	return record.NewDecoder(visits, record.Limits{}), nil
})

// newRunner loads the release with files added or replaced.
func newRunner(t *testing.T, added map[string]string) *examples.Runner {
	t.Helper()
	release := fstest.MapFS{}
	err := fs.WalkDir(fixture, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(fixture, name)
		release[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range added {
		release[name] = &fstest.MapFile{Data: []byte(text)}
	}
	set, err := ruleset.Load(t.Context(), release, ruleset.Options{})
	if err != nil {
		t.Fatal(err)
	}
	decoder, err := newDecoder()
	if err != nil {
		t.Fatal(err)
	}
	runner, err := examples.New(release, set, decoder)
	if err != nil {
		t.Fatal(err)
	}
	return runner
}

const signedFile = "examples/procedure/closing/signed.yaml"

// signed shows procedure.closing.signed in every way it can answer.
const signed = `signed:
  - name: by one who was there
    base: small
    expect: {visit: conforming}
  - name: by one who was not
    base: small
    change:
      - {set: /signatures/technician/by, to: tech-99}
    expect: {visit: nonconforming}
    severity: {visit: major}
`

// all collects the problems of a result.
func all(r *examples.Result) []string {
	var out []string
	for _, e := range r.Examples {
		for _, p := range e.Problems {
			out = append(out, p.String())
		}
	}
	for _, p := range r.Problems {
		out = append(out, p.String())
	}
	return out
}

// TestDemands changes the examples of one rule, or the rule, and looks for what
// is said of it.
func TestDemands(t *testing.T) {
	const third = `  - name: another
    base: small
`
	tests := []struct {
		name  string
		extra string // behind the examples that are in order
		drop  string // taken out of them
		want  []string
	}{
		{
			name: "a rule that can be neither indeterminate nor spared",
			want: []string{signedFile + ": the rule was never seen indeterminate, nor spared"},
		},
		{
			name: "no conforming example",
			drop: signed[strings.Index(signed, "  - name: by one who was there"):strings.Index(signed, "  - name: by one who was not")],
			want: []string{
				signedFile + ": the rule was never seen conforming",
				signedFile + ": the rule was never seen indeterminate, nor spared",
				`procedure/closing/signed.rego:25: no example reaches conforming contains "visit" if {`,
			},
		},
		{
			name: "no nonconforming example",
			drop: signed[strings.Index(signed, "  - name: by one who was not"):],
			want: []string{
				signedFile + ": the rule was never seen nonconforming",
				signedFile + ": the rule was never seen indeterminate, nor spared",
				`procedure/closing/signed.rego:30: no example reaches nonconforming contains "visit" if {`,
			},
		},
		{
			name:  "expected otherwise",
			extra: third + "    expect: {visit: evidence}\n",
			want: []string{
				signedFile + ":11: visit is conforming, expected evidence: The technician signed",
				signedFile + ": the rule was never seen indeterminate, nor spared",
			},
		},
		{
			name:  "expected spared",
			extra: third + "    expect: {spared: true}\n",
			want: []string{
				signedFile + ":11: visit is conforming, expected spared: The technician signed",
				signedFile + ": the rule was never seen indeterminate, nor spared",
			},
		},
		{
			name:  "expected of another subject",
			extra: third + "    expect: {cell B1.1: conforming}\n    severity: {cell B1.2: minor}\n",
			want: []string{
				signedFile + ":11: cell B1.1 is no subject of the rule on this visit",
				signedFile + ":11: cell B1.2 is no subject of the rule on this visit",
				signedFile + ":11: visit is conforming; the example does not say what it must be",
				signedFile + ": the rule was never seen indeterminate, nor spared",
			},
		},
		{
			name:  "graded otherwise",
			extra: third + "    expect: {others: conforming}\n    severity: {visit: minor}\n",
			want: []string{
				signedFile + ":11: visit is of severity major, expected minor",
				signedFile + ": the rule was never seen indeterminate, nor spared",
			},
		},
		{
			name:  "a change that misses",
			extra: third + "    change:\n      - {set: /note, to: fine}\n      - {remove: /signatures/technician/bye}\n    expect: {visit: conforming}\n",
			want: []string{
				signedFile + `:15: remove /signatures/technician/bye: there is no "bye"`,
				signedFile + ": the rule was never seen indeterminate, nor spared",
			},
		},
		{
			name:  "a visit that could not be handed in",
			extra: third + "    change:\n      - {remove: /signatures/technician/by}\n    expect: {visit: evidence}\n",
			want: []string{
				signedFile + ":11: the changed visit would be refused\n  /signatures/technician: ",
				signedFile + ": the rule was never seen indeterminate, nor spared",
			},
		},
		{
			name:  "an earlier visit that is the visit itself",
			extra: third + "    earlier:\n      - base: small\n    expect: {visit: conforming}\n",
			want: []string{
				signedFile + ":14: the earlier visit has the id of the visit itself: set /id",
				signedFile + ": the rule was never seen indeterminate, nor spared",
			},
		},
		{
			name:  "an earlier visit that is not earlier",
			extra: third + "    earlier:\n      - base: small\n        change: [{set: /id, to: V-0}]\n    expect: {visit: conforming}\n",
			want: []string{
				signedFile + ":14: the earlier visit ends after the visit starts: set /started and /ended",
				signedFile + ": the rule was never seen indeterminate, nor spared",
			},
		},
		{
			name:  "an earlier visit of another machine",
			extra: third + "    earlier:\n      - base: small\n        change: [{set: /machine/serial, to: X}]\n    expect: {visit: conforming}\n",
			want: []string{
				signedFile + `:14: the earlier visit is of machine "X", the visit of "SM-01"`,
				signedFile + ": the rule was never seen indeterminate, nor spared",
			},
		},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			text := strings.Replace(signed, test.drop, "", 1) + test.extra
			if test.drop == "" {
				text = signed + test.extra
			}
			result, err := newRunner(t, map[string]string{signedFile: text}).Rule(t.Context(), "procedure.closing.signed")
			if err != nil {
				t.Fatal(err)
			}
			got := all(result)
			if !slices.EqualFunc(got, test.want, strings.HasPrefix) {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(test.want, "\n"))
			}
		})
	}
}

const toldFile = "examples/condition/battery/as_told.yaml"

// told shows condition.battery.as_told in every way but by the line that fails.
const told = `as_told:
  - name: one of each
    base: small
    change:
      - {set: /note, to: "cell B1.1 = good; cell B1.2 = very bad; cell B1.10 = close"}
    expect: {cell B1.1: conforming, cell B1.2: nonconforming, cell B1.10: limit}
    severity: {cell B1.1: major, cell B1.2: critical}
  - name: not possible, and nothing said
    base: small
    change:
      - {set: /note, to: "cell B1.1 = not possible"}
    expect: {cell B1.1: state, others: evidence}
  - name: a repair
    base: small
    change:
      - {set: /kind, to: repair}
      - {set: /note, to: "nothing = said"}
    expect: {spared: true}
  - name: nothing to judge
    base: small
    change:
      - {set: /kind, to: handover}
      - {set: /note, to: "nothing = said"}
    expect: {visit: evidence}
`

// TestSeen counts what examples show, and finds the one line that none reaches.
func TestSeen(t *testing.T) {
	runner := newRunner(t, map[string]string{toldFile: told})
	result, err := runner.Rule(t.Context(), "condition.battery.as_told")
	if err != nil {
		t.Fatal(err)
	}
	want := examples.Seen{Conforming: 1, Nonconforming: 1, Evidence: 3, Limit: 1, State: 1, Spared: 1}
	if result.Seen != want {
		t.Errorf("saw %+v, want %+v", result.Seen, want)
	}
	got := all(result)
	lines := []string{
		`condition/battery/as_told.rego:41: no example reaches conforming contains t[0] if {`,
		`condition/battery/as_told.rego:44: no example reaches 10 / count(`,
	}
	if !slices.EqualFunc(got, lines, strings.HasPrefix) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(lines, "\n"))
	}
}

// TestFaultyRule runs an example in which the rule gives two answers.
func TestFaultyRule(t *testing.T) {
	text := told + `  - name: two answers
    base: small
    change: [{set: /note, to: cell B1.1 = good and bad}]
    expect: {others: conforming}
`
	result, err := newRunner(t, map[string]string{toldFile: text}).Rule(t.Context(), "condition.battery.as_told")
	if err != nil {
		t.Fatal(err)
	}
	last := result.Examples[len(result.Examples)-1]
	if len(last.Problems) != 1 || last.Problems[0].Line != 25 || !strings.Contains(last.Problems[0].Message, "two answers") {
		t.Errorf("got %v, want the fault at line 25", last.Problems)
	}
}

// TestPlaceholders takes away what a rule's text is filled with.
func TestPlaceholders(t *testing.T) {
	const file = "procedure/closing/signed.rego"
	source, err := fs.ReadFile(fixture, file)
	if err != nil {
		t.Fatal(err)
	}
	unfilled := strings.TrimSpace(string(source)) + " if false\n"
	result, err := newRunner(t, map[string]string{signedFile: signed, file: unfilled}).Rule(t.Context(), "procedure.closing.signed")
	if err != nil {
		t.Fatal(err)
	}
	want := file + ": no example fills {by} of "
	if got := all(result); !slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, want) }) {
		t.Errorf("got\n%s\nwant also\n%s", strings.Join(got, "\n"), want)
	}
}

// TestEarlier gives the rule on the service plan the visit it asks for.
func TestEarlier(t *testing.T) {
	const text = `kept:
  - name: a service before
    base: small
    change: [{set: /first_visit, to: false}]
    earlier:
      - base: small
        change:
          - {set: /id, to: V-0}
          - {set: /started, to: 2026-04-04T08:00:00+02:00}
          - {set: /ended, to: "2026-04-04T09:30:00+02:00"}
    received: "2026-05-04T17:00:00+02:00"
    expect: {visit: conforming}
  - name: none before
    base: small
    change: [{set: /first_visit, to: false}]
    expect: {visit: evidence}
  - name: the first
    base: small
    expect: {spared: true}
`
	result, err := newRunner(t, map[string]string{"examples/programme/plan/kept.yaml": text}).Rule(t.Context(), "programme.plan.kept")
	if err != nil {
		t.Fatal(err)
	}
	want := examples.Seen{Conforming: 1, Evidence: 1, Spared: 1}
	if result.Seen != want {
		t.Errorf("saw %+v, want %+v; %s", result.Seen, want, strings.Join(all(result), "\n"))
	}
}

// TestShared finds what no rule reaches of the shared files, and knows whether
// all rules were asked.
func TestShared(t *testing.T) {
	runner := newRunner(t, map[string]string{signedFile: signed, toldFile: told})
	if _, complete := runner.Shared(); complete {
		t.Error("complete before any rule was run")
	}
	unreached := map[string]int{}
	for i, rule := range runner.Rules() {
		result, err := runner.Rule(t.Context(), rule)
		if err != nil {
			t.Fatal(err)
		}
		if rule == "programme.plan.kept" && !slices.Contains(all(result), "examples/programme/plan/kept.yaml: there are no examples") {
			t.Errorf("got %q, want that there are no examples", all(result))
		}
		problems, complete := runner.Shared()
		if want := i == len(runner.Rules())-1; complete != want {
			t.Errorf("after %s: complete is %t, want %t", rule, complete, want)
		}
		unreached = map[string]int{}
		for _, p := range problems {
			unreached[p.File]++
		}
	}
	// No example raises a follow-up, or gives the visit another completion or cause.
	if want := map[string]int{"shared/followup.rego": 1, "shared/visit.rego": 3}; !maps.Equal(unreached, want) {
		problems, _ := runner.Shared()
		t.Errorf("unreached lines by file %v, want %v: %v", unreached, want, problems)
	}
}

func TestUnknownRuleAndCancelled(t *testing.T) {
	runner := newRunner(t, map[string]string{signedFile: signed})
	if _, err := runner.Rule(t.Context(), "procedure.closing.sealed"); err == nil {
		t.Error("an unknown rule was run")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if result, err := runner.Rule(ctx, "procedure.closing.signed"); err == nil {
		t.Errorf("got %v, want the cancellation", result)
	}
}
