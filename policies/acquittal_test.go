package policies_test

import (
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// What a removal from a faulty record may turn, besides the outcome of a rule.
const (
	turnsAcceptance     = "acceptance"
	turnsServiceability = "serviceability"
)

// TestAcquittals takes every field and every element out of the faulty records of
// the demo, one at a time, each judged with its history. No removal may turn a
// nonconforming outcome into a conforming one, a visit that was not accepted into
// an accepted one, or a machine that was not serviceable into a serviceable one,
// unless it is listed.
func TestAcquittals(t *testing.T) {
	b := newBench(t)
	list := readExcuses(t, "acquittals.yaml")
	before := map[string]*verdict.Verdict{}
	var faulty []trial
	for _, visit := range demo(t) {
		if !visit.spotless() {
			faulty = append(faulty, visit.trial)
			before[visit.name] = visit.verdict
		}
	}
	total := tally{}
	gone := 0
	all := each(t, faulty, func(t *testing.T, visit trial) {
		counts := tally{}
		for _, r := range b.try(t, visit, some(removals(visit.doc))) {
			if r.refused {
				counts[refused]++
				continue
			}
			turned := acquitted(before[visit.name], r.verdict)
			came := "no milder"
			for _, what := range turned {
				came = listed
				if _, ok := list.find(r, "", what); !ok {
					came = "acquitting"
					t.Errorf("%s removed turns %s%s", r.pointer, what, findings(r.verdict))
				}
			}
			counts[came]++
			gone += vanished(before[visit.name], r.verdict)
		}
		total.add(t, counts)
	})
	if all && *every {
		t.Logf("removals from %d faulty records: %s; %d nonconforming subjects no longer asked about", len(faulty), total, gone)
		list.demandUse(t, "")
	}
}

type question struct{ rule, subject string }

func outcomesOf(v *verdict.Verdict) map[question]verdict.Outcome {
	out := make(map[question]verdict.Outcome, len(v.Outcomes))
	for _, o := range v.Outcomes {
		out[question{o.Rule, o.Subject}] = o
	}
	return out
}

// acquitted lists what the second verdict is milder about than the first: rules
// that found a subject nonconforming and now conforming, and the two answers.
func acquitted(before, after *verdict.Verdict) []string {
	var out []string
	seen := map[string]bool{}
	now := outcomesOf(after)
	for _, o := range before.Outcomes {
		if o.Outcome == verdict.Nonconforming && now[question{o.Rule, o.Subject}].Outcome == verdict.Conforming && !seen[o.Rule] {
			seen[o.Rule] = true
			out = append(out, o.Rule)
		}
	}
	if before.Acceptance.Value != verdict.Accepted && after.Acceptance.Value == verdict.Accepted {
		out = append(out, turnsAcceptance)
	}
	if before.Serviceability != verdict.Serviceable && after.Serviceability == verdict.Serviceable {
		out = append(out, turnsServiceability)
	}
	return out
}

// vanished counts nonconforming outcomes of the first verdict that the second
// has no outcome for. What took them away is not acquitted by it: both answers
// are compared too.
func vanished(before, after *verdict.Verdict) int {
	n := 0
	now := outcomesOf(after)
	for _, o := range before.Outcomes {
		if _, there := now[question{o.Rule, o.Subject}]; o.Outcome == verdict.Nonconforming && !there {
			n++
		}
	}
	return n
}
