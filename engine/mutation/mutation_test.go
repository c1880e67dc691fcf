package mutation_test

import (
	"fmt"
	"io/fs"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/mutation"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

const (
	ruleName     = "condition.battery.dense"
	ruleFile     = "condition/battery/dense.rego"
	examplesFile = "examples/condition/battery/dense.yaml"
)

// rule is a rule made to be changed: a comparison with a limit either way, one with
// a word, one of membership, a helper in the file and one in shared/.
const rule = `# METADATA
# title: Every cell is dense
# description: A rule made to be changed.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: minor
#   basis: common practice
#   concession: lead
#   says: "{subject} is thin."
#   needs: "{subject} was not read."
#   remedy: "Take {subject} out."
#   who: technician
#   since: visit/1
package condition.battery.dense

import data.shared.weighed

subjects contains cell if {
	some b in data.classes[input.visit.machine.class].battery.blocks
	some n in numbers.range(1, data.classes[input.visit.machine.class].battery.cells_each)
	cell := sprintf("cell %s.%d", [b, n])
}

spared contains "there is no battery" if false

limit := data.limits.battery.full_charge_gravity.min

conforming contains subject if {
	some c in weighed.cells
	c.gravity.as_found.value >= limit
	subject := concat(" ", ["cell", c.cell])
}

nonconforming contains subject if {
	some c in weighed.cells
	c.gravity.as_found.value < limit
	subject := concat(" ", ["cell", c.cell])
}
`

const shared = `# METADATA
# title: Cells that can be weighed
# description: A helper made to be changed.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.weighed

cells contains c if {
	some c in input.visit.battery.cells
	c.gravity.as_found.unit == "sg"
	c.clarity in {"clear", "cloudy"}
}
`

// whole notices every change to the rule and its limit.
const whole = `dense:
  - name: every cell on the limit
    base: small
    change: [{each: /battery/cells/*/gravity/as_found/value, to: 1.260}]
    expect: {others: conforming}
  - name: a step under it, and one in between
    base: small
    change:
      - {set: /battery/cells/0/gravity/as_found/value, to: 1.259}
      - {set: /battery/cells/1/gravity/as_found/value, to: 1.2599}
    expect: {others: nonconforming}
  - name: one cell of an unknown look
    base: small
    change: [{set: /battery/cells/0/clarity, to: brown}]
    expect: {cell B1.1: evidence, cell B1.2: conforming}
  - name: one cell left out
    base: small
    change: [{remove: /battery/cells/0}]
    expect: {cell B1.1: evidence, cell B1.2: conforming}
`

// run tries changes on the release of the judge's tests with files put in or
// replaced; only the planted rule's examples are run.
func run(t *testing.T, kinds []mutation.Kind, files map[string]string, rules ...string) (*mutation.Result, error) {
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
	put := map[string]string{ruleFile: rule, "shared/weighed.rego": shared, examplesFile: whole}
	for name, text := range files {
		put[name] = text
	}
	for name, text := range put {
		release[name] = &fstest.MapFile{Data: []byte(text)}
	}
	set, runner := loaded(t, release)
	return mutation.Run(t.Context(), release, set, runner, mutation.Options{Kinds: kinds, Rules: rules})
}

// loaded is a release with the runner of its examples.
func loaded(t *testing.T, release fs.FS) (*ruleset.Set, *examples.Runner) {
	t.Helper()
	set, err := ruleset.Load(t.Context(), release, ruleset.Options{})
	if err != nil {
		t.Fatal(err)
	}
	visits, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	runner, err := examples.New(release, set, record.NewDecoder(visits, record.Limits{}))
	if err != nil {
		t.Fatal(err)
	}
	return set, runner
}

// holes are the holes as lines: where, what stands there, what was done to it. Those
// in rows of numbers that the planted rule has no use for are left out.
func holes(r *mutation.Result) []string {
	out := []string{}
	for _, h := range r.Holes {
		if strings.Contains(h.Rule, "torque") || strings.HasPrefix(h.Rule, "classes.small.charger") || strings.Contains(h.Text, "capacity") {
			continue
		}
		out = append(out, fmt.Sprintf("%s:%d %s: %s %s", h.File, h.Line, h.Rule, h.Text, h.What))
	}
	return out
}

func demand(t *testing.T, r *mutation.Result, want ...string) {
	t.Helper()
	if got := holes(r); !slices.Equal(got, want) && len(got)+len(want) > 0 {
		t.Errorf("holes:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestWholeExamplesNoticeAll(t *testing.T) {
	r, err := run(t, nil, nil, ruleName)
	if err != nil {
		t.Fatal(err)
	}
	demand(t, r)
	tried := map[mutation.Kind]int{}
	for _, c := range r.Counts {
		tried[c.Kind] = c.Tried
		if c.Tried != c.Noticed+c.Listed+c.Holes {
			t.Errorf("%s: %d tried are not %d noticed, %d listed and %d holes", c.Kind, c.Tried, c.Noticed, c.Listed, c.Holes)
		}
	}
	// >=, <, == and in; subjects; limit, conforming, nonconforming, cells.
	if tried[mutation.Comparison] != 4 || tried[mutation.Source] != 1 || tried[mutation.Body] != 4 {
		t.Errorf("tried %v", tried)
	}
}

// planted are examples from which one is missing, and the holes that it leaves.
var planted = []struct {
	name    string
	without string // the examples from this name on are taken out up to the next
	holes   []string
}{
	{"nothing on the limit", "every cell on the limit", []string{
		"condition/battery/dense.rego:35 condition.battery.dense.conforming: c.gravity.as_found.value >= limit >= turned into >",
		"condition/battery/dense.rego:41 condition.battery.dense.nonconforming: c.gravity.as_found.value < limit < turned into <=",
		"limits.yaml:6 limits.battery.full_charge_gravity: min: 1.260 moved to 1.261",
	}},
	{"nothing under the limit", "a step under it", []string{
		"condition/battery/dense.rego:39 condition.battery.dense.nonconforming: nonconforming contains subject if { some c in weighed.cells c.gravity.as_found.value < limit subject := concat(\" \", [\"cell\", c.cell]) } left out",
		"limits.yaml:6 limits.battery.full_charge_gravity: min: 1.260 moved to 1.259",
	}},
}

func TestPlantedHoles(t *testing.T) {
	for _, p := range planted {
		t.Run(p.name, func(t *testing.T) {
			before, rest, ok := strings.Cut(whole, "  - name: "+p.without)
			if !ok {
				t.Fatal("there is no such example")
			}
			_, after, _ := strings.Cut(rest, "  - name: ")
			r, err := run(t, nil, map[string]string{examplesFile: before + "  - name: " + after}, ruleName)
			if err != nil {
				t.Fatal(err)
			}
			demand(t, r, p.holes...)
			for _, h := range r.Holes {
				for _, name := range h.Ran {
					if name != ruleName {
						t.Errorf("%s was run for %s", name, h.Text)
					}
				}
				if (h.Examples == 0) != (len(h.Ran) == 0) {
					t.Errorf("%d examples of %v were run for %s", h.Examples, h.Ran, h.Text)
				}
			}
		})
	}
}

func TestListed(t *testing.T) {
	before, rest, _ := strings.Cut(whole, "  - name: one cell of an unknown look")
	_, after, _ := strings.Cut(rest, "  - name: ")
	entry := func(rule, text, what string) string {
		return fmt.Sprintf("  - {rule: %s, text: %q, change: %q, because: none is brown}\n", rule, text, what)
	}
	files := map[string]string{
		examplesFile: before + "  - name: " + after,
		ruleset.UnnoticedFile: "unnoticed:\n" +
			entry("shared.weighed.cells", `c.clarity in  {"clear",`, "in turned into not in") +
			entry("shared.weighed.cells", `c.gravity.as_found.unit == "sg"`, "== turned into !="),
	}
	// Without the brown cell nothing tells whether the look is asked for; turning
	// the question round is still noticed.
	r, err := run(t, []mutation.Kind{mutation.Comparison}, files, ruleName)
	if err != nil {
		t.Fatal(err)
	}
	demand(t, r)
	if len(r.Listed) != 0 || len(r.Unneeded) != 0 {
		t.Errorf("listed %v, unneeded %v; of single kinds no entry is asked for", r.Listed, r.Unneeded)
	}
	files[ruleset.UnnoticedFile] = "unnoticed:\n" + entry("condition.battery.dense.conforming", "as_found.value >=\n limit", ">= turned into >")
	_, rest, _ = strings.Cut(whole, "  - name: every cell on the limit")
	_, after, _ = strings.Cut(rest, "  - name: ")
	files[examplesFile] = "dense:\n  - name: " + after
	if r, err = run(t, []mutation.Kind{mutation.Comparison}, files, ruleName); err != nil {
		t.Fatal(err)
	}
	demand(t, r, "condition/battery/dense.rego:41 condition.battery.dense.nonconforming: c.gravity.as_found.value < limit < turned into <=")
	if len(r.Listed) != 1 || r.Listed[0].Because != "none is brown" {
		t.Errorf("listed %v", r.Listed)
	}
}

func TestUnneededEntries(t *testing.T) {
	files := map[string]string{ruleset.UnnoticedFile: "unnoticed:\n" +
		"  - {rule: condition.battery.dense.conforming, text: value >= limit, change: \">= turned into >\", because: a mistake}\n" +
		"  - {rule: condition.battery.dense.lost, text: anything, change: left out, because: it is gone}\n"}
	r, err := run(t, nil, files)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Unneeded) != 2 || r.Unneeded[0].Line != 2 || r.Unneeded[1].Rule != "condition.battery.dense.lost" || !r.Open() {
		t.Errorf("unneeded: %v", r.Unneeded)
	}
}

// TestFailingExample: what is not met as it is can notice nothing.
func TestFailingExample(t *testing.T) {
	_, err := run(t, nil, map[string]string{examplesFile: strings.Replace(whole, "others: conforming", "others: nonconforming", 1)}, ruleName)
	if err == nil || !strings.Contains(err.Error(), `"every cell on the limit" of condition.battery.dense is not met as it is`) {
		t.Errorf("got %v", err)
	}
}

// TestByPlanAsByEvaluator: it is the same whether a plan answers, with what no change can
// touch taken over, or OPA's evaluator anew each time.
func TestByPlanAsByEvaluator(t *testing.T) {
	release := os.DirFS("../../policies/1.0.0")
	set, runner := loaded(t, release)
	of := mutation.Options{Rules: []string{"condition.charger.output_current", "procedure.safety.isolation_holds"}}
	planned, err := mutation.Run(t.Context(), release, set, runner, of)
	if err != nil {
		t.Fatal(err)
	}
	evaluated, err := mutation.Run(t.Context(), release, set, runner, of.Unplanned())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		of   mutation.Options
		want bool
	}{{of, true}, {of.Unplanned(), false}} {
		is, err := mutation.IsPlanned(t.Context(), release, set, runner, c.of)
		if err != nil {
			t.Fatal(err)
		}
		if is != c.want {
			t.Errorf("a plan answers: %v, want %v; the same was compared with itself", is, c.want)
		}
	}
	tried, open := 0, 0
	for _, c := range planned.Counts {
		tried += c.Tried
		open += c.Tried - c.Noticed
	}
	if tried < 100 || open == 0 {
		t.Errorf("%d changes were tried, %d were not noticed: too few to compare by", tried, open)
	}
	planned.Runs, evaluated.Runs = 0, 0 // the order in which examples are run hangs on how long they take
	if !reflect.DeepEqual(planned, evaluated) {
		t.Errorf("by a plan\n%+v\nby the evaluator\n%+v", planned, evaluated)
	}
}
