package policies_test

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/format"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// blankNote is the note by which a record tells a release made by blankable that
// a rule is to prove nothing.
func blankNote(rule string) string { return "nothing is proven by " + rule }

// blankable is the release with one condition more in every way in which a rule
// proves that something conforms: that the record's note is not blankNote of the
// rule. So the set conforming of any one rule can be emptied without compiling
// the release once for each.
func blankable(ctx context.Context, release string) (*judge.Judge, error) {
	files := fstest.MapFS{}
	folder := os.DirFS(release)
	err := fs.WalkDir(folder, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(folder, name)
		if err != nil {
			return err
		}
		if rule, ok := strings.CutSuffix(name, ".rego"); ok && !strings.HasPrefix(name, "shared/") {
			if data, err = withBlank(name, data, strings.ReplaceAll(rule, "/", ".")); err != nil {
				return err
			}
		}
		files[name] = &fstest.MapFile{Data: data}
		return nil
	})
	if err != nil {
		return nil, err
	}
	// Vouched for, the release is not asked again whether rules may look at a note.
	catalogue, err := ruleset.BuildCatalogue(ctx, folder)
	if err != nil {
		return nil, err
	}
	files["catalogue.json"] = &fstest.MapFile{Data: catalogue}
	digest, err := ruleset.Digest(files)
	if err != nil {
		return nil, err
	}
	set, err := ruleset.Load(ctx, files, ruleset.Options{Version: release, Vouched: digest, Native: true})
	if err != nil {
		return nil, err
	}
	return judge.New(ctx, set)
}

func withBlank(file string, source []byte, rule string) ([]byte, error) {
	module, err := ast.ParseModule(file, string(source))
	if err != nil {
		return nil, err
	}
	condition, err := ast.ParseExpr(fmt.Sprintf("not input.visit.note == %q", blankNote(rule)))
	if err != nil {
		return nil, err
	}
	proofs := 0
	for _, r := range module.Rules {
		for part := r; part != nil && r.Head.Name == ruleset.Conforming; part = part.Else {
			part.Body.Append(condition.Copy())
			proofs++
		}
	}
	if proofs == 0 {
		return nil, fmt.Errorf("%s: the rule proves nothing", file)
	}
	return format.AstWithOpts(module, format.Opts{RegoVersion: ast.RegoV1})
}

// TestBlankRules lets every rule in turn prove nothing, over the spotless records
// and, for rules that have nothing to judge there, over visits of the demo where
// they do prove something. No visit then is accepted with the machine
// serviceable, if what the rule answers for is critical or major; what is minor
// shows as indeterminate. Rules of the service plan change neither answer.
func TestBlankRules(t *testing.T) {
	b := newBench(t)
	blank, err := blankable(t.Context(), b.release)
	if err != nil {
		t.Fatal(err)
	}
	blankBench := *b
	blankBench.judge = blank

	trials := b.spotless(t)
	trials = append(trials, rested(t, trials))
	before := map[string]map[question]verdict.Outcome{}
	for _, base := range trials {
		// The release made for this test answers as the real one as long as no
		// rule is named.
		want, err := b.one(t.Context(), base, change{doc: base.doc})
		if err != nil {
			t.Fatal(err)
		}
		got, err := blankBench.one(t.Context(), base, change{doc: base.doc})
		if err != nil {
			t.Fatal(err)
		}
		if !want.passes() {
			t.Fatalf("%s: not accepted, or the machine not serviceable%s", base.name, findings(want.verdict))
		}
		before[base.name] = outcomesOf(want.verdict)
		if !maps.EqualFunc(before[base.name], outcomesOf(got.verdict), sameAnswer) {
			t.Fatalf("%s: the rules answer otherwise before any is blanked", base.name)
		}
	}
	bases := len(trials)
	for _, v := range demo(t) {
		trials = append(trials, v.trial)
		before[v.name] = outcomesOf(v.verdict)
	}

	total := tally{}
	for _, rule := range b.set.Rules() {
		t.Run(rule.Name, func(t *testing.T) {
			counts := tally{}
			shown := false
			for i, like := range trials {
				proven := severest(rule.Name, before[like.name])
				base := i < bases
				if proven == "" && base {
					counts["nothing to prove"]++
				}
				// All bases, and the demo only as far as they show nothing.
				if proven == "" || !base && shown {
					continue
				}
				shown = true
				doc := maps.Clone(like.doc)
				doc["note"] = blankNote(rule.Name)
				r, err := blankBench.one(t.Context(), like, change{doc: doc})
				if err != nil {
					t.Fatal(err)
				}
				if r.refused {
					t.Fatalf("%s: refused with the note", like.name)
				}
				counts[heldWhenBlank(t, rule, like.name, proven, before[like.name], r)]++
			}
			if !shown {
				t.Error("the rule proves nothing in any spotless record nor in the demo")
			}
			for k, n := range counts {
				total[k] += n
			}
		})
	}
	t.Logf("rules that prove nothing: %s", total)
}

// rested is a spotless record of a flooded pack that had stood long enough, off
// charge and load, for its voltages to be worth something.
func rested(t *testing.T, bases []trial) trial {
	t.Helper()
	for _, base := range bases {
		if base.name != "walk-behind-flooded" {
			continue
		}
		ended := parseTime(t, base.doc["started"]).Add(-20 * time.Hour).Format(time.RFC3339)
		doc := spot{path: []any{"battery", "charge", "ended"}}.set(base.doc, "", ended).doc
		doc = spot{path: []any{"battery", "off_charge_and_load"}}.set(doc, "", map[string]any{"value": json.Number("20"), "unit": "h"}).doc
		base.name += ", rested"
		base.doc = doc
		return base
	}
	t.Fatal("there is no flooded base visit")
	return trial{}
}

func sameAnswer(a, b verdict.Outcome) bool {
	return a.Outcome == b.Outcome && a.Because == b.Because && a.Severity == b.Severity
}

// severest is the highest severity of what a rule found conforming; empty if it
// found nothing.
func severest(rule string, outcomes map[question]verdict.Outcome) verdict.Severity {
	found := map[verdict.Severity]bool{}
	for q, o := range outcomes {
		if q.rule == rule && o.Outcome == verdict.Conforming {
			found[o.Severity] = true
		}
	}
	for _, s := range []verdict.Severity{verdict.Critical, verdict.Major, verdict.Minor} {
		if found[s] {
			return s
		}
	}
	return ""
}

// heldWhenBlank tells how a verdict shows that a rule proved nothing.
func heldWhenBlank(t *testing.T, rule ruleset.Rule, name string, proven verdict.Severity, before map[question]verdict.Outcome, r result) string {
	t.Helper()
	for q, o := range outcomesOf(r.verdict) {
		if q.rule != rule.Name {
			continue
		}
		if o.Outcome == verdict.Conforming {
			t.Errorf("%s: %s is conforming, though the rule proves nothing", name, o.Subject)
		}
		if before[q].Outcome == verdict.Conforming && (o.Outcome != verdict.Indeterminate || o.Because != verdict.Evidence) {
			t.Errorf("%s: %s is %s %s, want indeterminate for want of evidence", name, o.Subject, o.Outcome, o.Because)
		}
	}
	if rule.Concern == ruleset.Programme {
		return "of the service plan"
	}
	if proven == verdict.Minor {
		if rule.Concern == ruleset.Procedure && r.passes() && !r.verdict.Acceptance.Remarks {
			t.Errorf("%s: accepted without remarks", name)
		}
		return "minor, shown"
	}
	if r.passes() {
		t.Errorf("%s: accepted, and the machine serviceable%s", name, findings(r.verdict))
		return silent
	}
	if r.verdict.Acceptance.Value != verdict.Accepted {
		return notAccepted
	}
	return notServiceable
}
