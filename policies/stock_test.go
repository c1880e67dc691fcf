package policies_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/open-policy-agent/opa/v1/rego"

	"github.com/visitgauge/visitgauge/engine/bundle"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

// TestStock recomputes every verdict of the demo with stock OPA: the files of the
// release, read by OPA's own loader, and the document that Input prints. No
// compiler, helper or option of ours has a part in it. What OPA answers is sorted
// out here once more, by the contract as it is written down, and compared with
// the verdict outcome by outcome; so are the two answers.
func TestStock(t *testing.T) {
	b := newBench(t)
	compareWithStock(t, rego.Load([]string{withCatalogue(t, b)}, nil))
}

// TestStockBundle is TestStock with the release packed into one file, which OPA
// loads as any other bundle.
func TestStockBundle(t *testing.T) {
	b := newBench(t)
	data, err := bundle.Write(os.DirFS(b.release), b.set, bundle.Options{})
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "rules.tar.gz")
	if err := os.WriteFile(file, data, 0o666); err != nil {
		t.Fatal(err)
	}
	compareWithStock(t, rego.LoadBundle(file))
}

// compareWithStock evaluates the demo over what stock OPA loads.
func compareWithStock(t *testing.T, load func(*rego.Rego)) {
	stock, err := rego.New(rego.Query("data"), load).PrepareForEval(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, visit := range demo(t) {
		t.Run(visit.name, func(t *testing.T) {
			input, err := judge.Input(judge.Case{Record: visit.record, Earlier: visit.earlier})
			if err != nil {
				t.Fatal(err)
			}
			results, err := stock.Eval(t.Context(), rego.EvalInput(decodeJSON(t, input)))
			if err != nil {
				t.Fatal(err)
			}
			if len(results) != 1 {
				t.Fatalf("%d answers", len(results))
			}
			data := results[0].Expressions[0].Value.(map[string]any)
			want := stockOutcomes(t, data)
			got := map[question]answer{}
			for q, o := range outcomesOf(visit.verdict) {
				got[q] = answer{o.Outcome, o.Because, o.Severity}
			}
			for q, w := range want {
				if got[q] != w {
					t.Errorf("%s %s: the verdict says %v, stock OPA %v", q.rule, q.subject, got[q], w)
				}
			}
			for q, g := range got {
				if _, ok := want[q]; !ok {
					t.Errorf("%s %s: the verdict says %v, stock OPA has no such outcome", q.rule, q.subject, g)
				}
			}
			compared += len(want)
			compareAnswers(t, visit.verdict, want, data)
		})
	}
	t.Logf("%d outcomes of %d visits are those of stock OPA", compared, len(demo(t)))
}

// withCatalogue is the release's folder, or a copy of it with a catalogue if it
// has none yet: it is written when the release is made.
func withCatalogue(t *testing.T, b *bench) string {
	t.Helper()
	if _, err := os.Stat(filepath.Join(b.release, "catalogue.json")); err == nil {
		return b.release
	}
	folder := filepath.Join(t.TempDir(), b.release)
	if err := os.CopyFS(folder, os.DirFS(b.release)); err != nil {
		t.Fatal(err)
	}
	catalogue, err := ruleset.BuildCatalogue(t.Context(), os.DirFS(b.release))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, "catalogue.json"), catalogue, 0o666); err != nil {
		t.Fatal(err)
	}
	return folder
}

func decodeJSON(t *testing.T, data []byte) any {
	t.Helper()
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var v any
	if err := dec.Decode(&v); err != nil {
		t.Fatal(err)
	}
	return v
}

// An answer is an outcome without its words.
type answer struct {
	outcome  verdict.Value
	because  verdict.Because
	severity verdict.Severity
}

// stockOutcomes sorts out the documents of all rules.
func stockOutcomes(t *testing.T, data map[string]any) map[question]answer {
	t.Helper()
	out := map[question]answer{}
	for _, concern := range []string{"condition", "procedure", "programme"} {
		areas, _ := data[concern].(map[string]any)
		for area, rules := range areas {
			for name, sets := range rules.(map[string]any) {
				rule := strings.Join([]string{concern, area, name}, ".")
				severity, _ := at(data, "catalogue", "rules").(map[string]any)[rule].(map[string]any)["severity"].(string)
				for subject, a := range sortOut(t, rule, sets.(map[string]any), verdict.Severity(severity)) {
					out[question{rule, subject}] = a
				}
			}
		}
	}
	return out
}

func sortOut(t *testing.T, rule string, sets map[string]any, severity verdict.Severity) map[string]answer {
	t.Helper()
	out := map[string]answer{}
	subjects, spared := words(sets["subjects"]), words(sets["spared"])
	switch {
	case len(subjects) > 0 && len(spared) > 0:
		t.Errorf("%s: subjects %v, and yet spared: %v", rule, subjects, spared)
	case len(spared) > 0:
		out["visit"] = answer{verdict.NotApplicable, "", severity}
	case len(subjects) == 0:
		out["visit"] = answer{verdict.Indeterminate, verdict.Evidence, severity}
	}
	graded, _ := sets["severity"].(map[string]any)
	for _, s := range subjects {
		a := answer{verdict.Indeterminate, verdict.Evidence, severity}
		if own, ok := graded[s].(string); ok {
			a.severity = verdict.Severity(own)
		}
		out[s] = a
	}
	answered := map[string]string{}
	for set, outcome := range map[string]answer{
		"conforming":    {outcome: verdict.Conforming},
		"nonconforming": {outcome: verdict.Nonconforming},
		"too_close":     {outcome: verdict.Indeterminate, because: verdict.Limit},
		"not_possible":  {outcome: verdict.Indeterminate, because: verdict.State},
	} {
		for _, s := range words(sets[set]) {
			if !slices.Contains(subjects, s) {
				t.Errorf("%s: %s is %s, but no subject", rule, s, set)
			}
			if other, twice := answered[s]; twice {
				t.Errorf("%s: %s is %s and %s", rule, s, other, set)
			}
			answered[s] = set
			outcome.severity = out[s].severity
			out[s] = outcome
		}
	}
	return out
}

func words(v any) []string {
	list, _ := v.([]any)
	var out []string
	for _, e := range list {
		out = append(out, e.(string))
	}
	return out
}

// compareAnswers draws acceptance, serviceability, completion and cause from what
// stock OPA answered.
func compareAnswers(t *testing.T, v *verdict.Verdict, outcomes map[question]answer, data map[string]any) {
	t.Helper()
	for name, got := range map[string]string{"completion": string(v.Completion), "cause": string(v.Cause)} {
		if want := at(data, "shared", "visit", name); got != want {
			t.Errorf("%s is %q, stock OPA says %q", name, got, want)
		}
	}
	followed := words(at(data, "shared", "followup", "followed_up"))
	accepted, served := verdict.Accepted, 0
	// The worst line wins.
	worse := func(s verdict.Serviceability) {
		served = max(served, slices.Index(worst, s))
	}
	for q, a := range outcomes {
		grave := a.severity != verdict.Minor
		bad := a.outcome == verdict.Nonconforming && grave
		open := a.outcome == verdict.Indeterminate && grave
		switch concern, _, _ := strings.Cut(q.rule, "."); concern {
		case ruleset.Procedure:
			if bad {
				accepted = verdict.Rejected
			}
			if open && a.because == verdict.Evidence && accepted != verdict.Rejected {
				accepted = verdict.Incomplete
			}
		case ruleset.Condition:
			switch {
			case bad && a.severity == verdict.Critical:
				worse(verdict.Unserviceable)
			case bad && slices.Contains(followed, q.subject):
				worse(verdict.Restricted)
			case bad || open:
				worse(verdict.Undetermined)
			}
		}
	}
	if len(v.Tags) > 0 {
		worse(verdict.Unserviceable)
	}
	for _, r := range v.Restrictions {
		worse(verdict.Restricted)
		if r.Expired {
			worse(verdict.Unserviceable)
		}
	}
	if v.Visit.EndedAs != "completed" {
		worse(verdict.Undetermined)
	}
	if v.Acceptance.Value != accepted {
		t.Errorf("the visit is %s, by stock OPA's outcomes %s", v.Acceptance.Value, accepted)
	}
	if v.Serviceability != worst[served] {
		t.Errorf("the machine is %s, by stock OPA's outcomes %s", v.Serviceability, worst[served])
	}
}

// worst orders the states of a machine, the worst last.
var worst = []verdict.Serviceability{verdict.Serviceable, verdict.Restricted, verdict.Undetermined, verdict.Unserviceable}

// TestVerdictsOfTheDemo holds every verdict of the demo to its schema, and to the
// same verdict, byte for byte, from a set without native helpers and from a
// record whose fields stand in another order.
func TestVerdictsOfTheDemo(t *testing.T) {
	b := newBench(t)
	verdicts, err := schema.Compile("verdict")
	if err != nil {
		t.Fatal(err)
	}
	set, err := ruleset.Load(t.Context(), os.DirFS(b.release), ruleset.Options{Version: b.release})
	if err != nil {
		t.Fatal(err)
	}
	plain, err := judge.New(t.Context(), set)
	if err != nil {
		t.Fatal(err)
	}
	for _, visit := range demo(t) {
		t.Run(visit.name, func(t *testing.T) {
			want, err := verdict.Encode(visit.verdict)
			if err != nil {
				t.Fatal(err)
			}
			if err := verdicts.Validate(decodeJSON(t, want)); err != nil {
				t.Errorf("the verdict does not keep to its schema: %#v", err)
			}
			v, err := plain.Judge(t.Context(), judge.Case{Record: visit.record, Earlier: visit.earlier})
			if err != nil {
				t.Fatal(err)
			}
			if got, err := verdict.Encode(v); err != nil || !bytes.Equal(got, want) {
				t.Errorf("without native helpers the verdict is another: %v", err)
			}
			for _, order := range []string{"ascending", "descending"} {
				rec, err := b.decoder.Decode(visit.name, 1, ordered(visit.doc, order == "descending"))
				if err != nil {
					t.Fatal(err)
				}
				v, err := b.judge.Judge(t.Context(), judge.Case{Record: rec, Earlier: visit.earlier})
				if err != nil {
					t.Fatal(err)
				}
				v.Visit.Digest = visit.verdict.Visit.Digest // of the bytes, which differ
				if got, err := verdict.Encode(v); err != nil || !bytes.Equal(got, want) {
					t.Errorf("with fields in %s order the verdict is another: %v", order, err)
				}
			}
		})
	}
}

// ordered writes a document with the fields of every object in order of their
// names, or the other way round.
func ordered(v any, descending bool) []byte {
	var out bytes.Buffer
	var write func(v any)
	write = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			names := slices.Sorted(maps.Keys(v))
			if descending {
				slices.Reverse(names)
			}
			out.WriteByte('{')
			for i, name := range names {
				if i > 0 {
					out.WriteByte(',')
				}
				fmt.Fprintf(&out, "%q:", name)
				write(v[name])
			}
			out.WriteByte('}')
		case []any:
			out.WriteByte('[')
			for i, e := range v {
				if i > 0 {
					out.WriteByte(',')
				}
				write(e)
			}
			out.WriteByte(']')
		default:
			data, err := json.Marshal(v)
			if err != nil {
				panic(err)
			}
			out.Write(data)
		}
	}
	write(v)
	return out.Bytes()
}
