package policies_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// What may come of a changed record that was spotless. The last must not be.
const (
	refused        = "refused"         // by the decoder: never judged
	notAccepted    = "not accepted"    // rejected or incomplete
	notServiceable = "not serviceable" // accepted; the machine unserviceable, restricted or undetermined
	listed         = "on the list"
	silent         = "silent"
)

// A tally counts what came of changes.
type tally map[string]int

func (n tally) String() string {
	out := []string{fmt.Sprintf("%d tried", n.tried())}
	for _, k := range slices.Sorted(maps.Keys(n)) {
		out = append(out, fmt.Sprintf("%d %s", n[k], k))
	}
	return strings.Join(out, ", ")
}

// add prints the counts of one record and adds them up.
func (n tally) add(t *testing.T, counts tally) {
	t.Helper()
	t.Log(counts)
	for k, c := range counts {
		n[k] += c
	}
}

func (n tally) tried() int {
	sum := 0
	for _, c := range n {
		sum += c
	}
	return sum
}

// hold tells what came of a change to a spotless record, and fails the test if
// it passed in silence.
func hold(t *testing.T, r result, list *excuses, change string) string {
	t.Helper()
	switch {
	case r.refused:
		return refused
	case r.verdict.Acceptance.Value != verdict.Accepted:
		return notAccepted
	case r.verdict.Serviceability != verdict.Serviceable:
		return notServiceable
	}
	x, ok := list.find(r, change, "")
	if !ok {
		t.Errorf("%s %s: accepted, and the machine serviceable%s", r.pointer, r.kind, findings(r.verdict))
		return silent
	}
	if x.Shown != "" && !found(r.verdict, x.Shown) {
		t.Errorf("%s %s: %s says that %s shows it, and it does not%s", r.pointer, r.kind, list.file, x.Shown, findings(r.verdict))
	}
	return listed
}

func found(v *verdict.Verdict, rule string) bool {
	return slices.ContainsFunc(v.Outcomes, func(o verdict.Outcome) bool { return strings.HasPrefix(o.Rule, rule) && o.Finding() })
}

// findings lists what a verdict found, for a message.
func findings(v *verdict.Verdict) string {
	var out strings.Builder
	for _, o := range v.Outcomes {
		if o.Finding() {
			fmt.Fprintf(&out, "\n\t%s %s: %s %s, %s", o.Rule, o.Subject, o.Outcome, o.Because, o.Severity)
		}
	}
	return out.String()
}

// TestRemovals takes every field and every element out of the spotless records,
// one at a time. None may then be accepted with the machine serviceable unless
// it stands in the list of what may be absent.
func TestRemovals(t *testing.T) {
	b := newBench(t)
	list := readExcuses(t, "may-be-absent.yaml")
	total := tally{}
	all := each(t, b.spotless(t), func(t *testing.T, base trial) {
		counts := tally{}
		for _, r := range b.try(t, base, removals(base.doc)) {
			counts[hold(t, r, list, "")]++
		}
		total.add(t, counts)
	})
	if all {
		t.Logf("removals from spotless records: %s", total)
		list.demandUse(t, "")
	}
}

// spotless are the base visits, after it was seen that nothing is found in them.
func (b *bench) spotless(t *testing.T) []trial {
	t.Helper()
	bases := b.bases(t)
	for _, base := range bases {
		r, err := b.one(t.Context(), base, change{doc: base.doc})
		if err != nil {
			t.Fatal(err)
		}
		if !r.passes() || findings(r.verdict) != "" {
			t.Fatalf("%s is not spotless: %+v", base.name, r)
		}
	}
	return bases
}

func removals(doc map[string]any) []change {
	var out []change
	for _, s := range spots(doc) {
		out = append(out, s.removed(doc))
	}
	return out
}
