package ruletest_test

import (
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/ruletest"
	"github.com/visitgauge/visitgauge/schema"
)

const signedRule = "procedure.closing.signed"

const signed = `signed:
  - name: by one who was there
    base: small
    expect: {visit: conforming}
  - name: by one who was not
    base: small
    change:
      - {set: /signatures/technician/by, to: tech-99}
    expect: {visit: nonconforming}
`

// test puts the release of the judge's tests to the test with files put in.
func test(t *testing.T, files map[string]string, opt ruletest.Options) (*ruletest.Result, error) {
	t.Helper()
	release := fstest.MapFS{}
	root := os.DirFS("../judge/testdata/release")
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(root, name)
		release[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range files {
		release[name] = &fstest.MapFile{Data: []byte(text)}
	}
	set, err := ruleset.Load(t.Context(), release, ruleset.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range set.Rules() {
		if strings.HasSuffix(r.Name, "_test") {
			t.Errorf("the tests became the rule %s", r.Name)
		}
	}
	visits, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	return ruletest.Run(t.Context(), release, set, record.NewDecoder(visits, record.Limits{}), opt)
}

func messages(r *ruletest.Result) string {
	var all []string
	for _, p := range r.Problems {
		all = append(all, p.File+": "+p.Message)
	}
	return strings.Join(all, "\n")
}

func TestCountsOfARule(t *testing.T) {
	var stages []string
	r, err := test(t, map[string]string{"examples/procedure/closing/signed.yaml": signed}, ruletest.Options{
		Rules: []string{signedRule},
		Progress: func(doing string, done, of int) {
			if !slices.Contains(stages, doing) {
				stages = append(stages, doing)
			}
			if done < 1 || done > of {
				t.Errorf("%s: %d of %d", doing, done, of)
			}
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	rule := r.Rules[0]
	if len(r.Rules) != 1 || rule.Name != signedRule || rule.Examples != 2 || rule.Conforming != 1 || rule.Nonconforming != 1 || rule.Indeterminate+rule.Spared != 0 {
		t.Errorf("got %+v", rule)
	}
	if rule.Lines == 0 || rule.Reached > rule.Lines {
		t.Errorf("%d of %d lines reached", rule.Reached, rule.Lines)
	}
	if !strings.Contains(messages(r), "was never seen indeterminate") || !r.Open() || r.Whole {
		t.Errorf("problems: %s; whole %v", messages(r), r.Whole)
	}
	if r.Mutation == nil || !slices.Equal(stages, []string{ruletest.RunningExamples, ruletest.TryingChanges}) {
		t.Errorf("stages %v", stages)
	}
}

func TestNothingIsTriedOnFailingExamples(t *testing.T) {
	r, err := test(t, map[string]string{"examples/procedure/closing/signed.yaml": strings.Replace(signed, "conforming", "nonconforming", 1)}, ruletest.Options{Rules: []string{signedRule}})
	if err != nil {
		t.Fatal(err)
	}
	if r.Mutation != nil || !strings.Contains(r.NotTried, "there are 1") || !strings.Contains(messages(r), "visit is conforming, expected nonconforming") {
		t.Errorf("not tried %q, problems %s", r.NotTried, messages(r))
	}
}

// The tester is OPA's own; what is tested is that its tests are found, see the
// rules and the data, and are no rules themselves.
func TestRegoTests(t *testing.T) {
	const file = "procedure/closing/signed_test.rego"
	const text = `package procedure.closing.signed_test

import data.procedure.closing.signed

test_no_subject_without_a_visit if count(signed.conforming) == 0 with input as {}

test_limit if data.limits.battery.full_charge_gravity.min == 1.26

test_wrong if {
	data.limits.battery.full_charge_gravity.min == 1.27
}

todo_test_later if true
`
	r, err := test(t, map[string]string{file: text}, ruletest.Options{NoMutation: true})
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]bool{}
	for _, one := range r.Tests {
		got[strings.TrimPrefix(one.Name, "procedure.closing.signed_test.")] = one.Passed
		if one.File != file || one.Line == 0 {
			t.Errorf("%s stands at %s:%d", one.Name, one.File, one.Line)
		}
	}
	want := map[string]bool{"test_no_subject_without_a_visit": true, "test_limit": true, "test_wrong": false, "todo_test_later": false}
	for name, passed := range want {
		if p, ok := got[name]; !ok || p != passed {
			t.Errorf("%s: passed %v, there %v", name, p, ok)
		}
	}
	if len(got) != len(want) {
		t.Errorf("tests %v", got)
	}
	for _, says := range []string{file + ": procedure.closing.signed_test.test_wrong fails: it does not hold", "marked as still to do"} {
		if !strings.Contains(messages(r), says) {
			t.Errorf("%q is missing in\n%s", says, messages(r))
		}
	}
	if r.Mutation != nil || r.NotTried != "" {
		t.Error("changes were tried, or missed")
	}
	// One rule by itself has the tests beside it, and no others.
	for rule, count := range map[string]int{"procedure.closing.signed": len(want), "condition.battery.as_told": 0} {
		r, err := test(t, map[string]string{file: text}, ruletest.Options{NoMutation: true, Rules: []string{rule}})
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Tests) != count || strings.Contains(messages(r), "test_wrong") != (count > 0) {
			t.Errorf("%s by itself: %d tests, want %d", rule, len(r.Tests), count)
		}
	}
}

func TestBrokenRegoTests(t *testing.T) {
	for name, text := range map[string]string{
		"no Rego":              "package procedure.closing.signed_test\n\ntest_x if {\n",
		"a rule that is not":   "package procedure.closing.signed_test\n\ntest_x if data.procedure.closing.signed.conforming[_] == unknown\n",
		"nothing in it at all": "",
	} {
		_, err := test(t, map[string]string{"procedure/closing/signed_test.rego": text}, ruletest.Options{NoMutation: true})
		if err == nil || !strings.Contains(err.Error(), "tests") {
			t.Errorf("%s: got %v", name, err)
		}
	}
}
