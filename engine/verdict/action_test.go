package verdict_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// finding is an outcome written short: "condition.a.b cell B1.2 major wrong".
// The subject may have spaces; the last word is wrong, open or conforming.
func finding(t *testing.T, text string) verdict.Outcome {
	t.Helper()
	words := strings.Fields(text)
	n := len(words)
	o := verdict.Outcome{
		Rule:     words[0],
		Subject:  strings.Join(words[1:n-2], " "),
		Concern:  verdict.Concern(strings.SplitN(words[0], ".", 2)[0]),
		Severity: verdict.Severity(words[n-2]),
		Remedy:   "mend " + words[0],
	}
	switch words[n-1] {
	case "wrong":
		o.Outcome = verdict.Nonconforming
	case "conceded":
		o.Outcome, o.ConcededBy = verdict.Nonconforming, "C-1"
	case "open":
		o.Outcome, o.Because = verdict.Indeterminate, verdict.Evidence
	case "conforming":
		o.Outcome = verdict.Conforming
	default:
		t.Fatalf("%q ends in no known word", text)
	}
	return o
}

// told writes actions short, one a line.
func told(actions []verdict.Action) []string {
	var out []string
	for _, a := range actions {
		line := fmt.Sprint(map[verdict.Need]string{
			verdict.PutRight: "put right", verdict.FindOut: "find out", verdict.Note: "note",
			verdict.Plan: "plan", verdict.Stands: "stands",
		}[a.Need], ":")
		for _, f := range a.Findings {
			line += " " + f.Root.Rule + "/" + f.Root.Subject
			for _, o := range f.Same {
				line += " <" + o.Rule + "/" + o.Subject + ">"
			}
		}
		for _, o := range a.About {
			line += " about <" + o.Rule + "/" + o.Subject + ">"
		}
		out = append(out, line)
	}
	return out
}

func TestActions(t *testing.T) {
	tests := []struct {
		name     string
		outcomes []string
		want     []string
	}{
		{
			name:     "nothing found",
			outcomes: []string{"condition.a.x cell B1.1 major conforming"},
		},
		{
			name: "gravest first, the unknown after the wrong, notes last",
			outcomes: []string{
				"condition.a.note charger minor wrong",
				"condition.a.unknown battery critical open",
				"condition.a.major step s major wrong",
				"procedure.a.critical isolation critical wrong",
				"programme.a.plan meter drive major wrong",
			},
			want: []string{
				"put right: procedure.a.critical/isolation",
				"put right: condition.a.major/step s",
				"find out: condition.a.unknown/battery",
				"note: condition.a.note/charger",
				"plan: programme.a.plan/meter drive",
			},
		},
		{
			name: "one subject has one cause, the machine before what was done",
			outcomes: []string{
				"procedure.a.done cell B1.2 major wrong",
				"condition.a.spread cell B1.2 minor wrong",
				"condition.a.weak cell B1.2 major wrong",
				"condition.a.level cell B1.2 major open",
			},
			want: []string{"put right: condition.a.weak/cell B1.2 <procedure.a.done/cell B1.2> <condition.a.level/cell B1.2> <condition.a.spread/cell B1.2>"},
		},
		{
			name: "the visit as a whole is no cause",
			outcomes: []string{
				"procedure.a.signed visit major wrong",
				"procedure.a.place visit critical wrong",
			},
			want: []string{"put right: procedure.a.place/visit", "put right: procedure.a.signed/visit"},
		},
		{
			name: "findings that are alike are one action, in reading order",
			outcomes: []string{
				"condition.a.low cell B1.10 major open",
				"condition.a.low cell B1.2 major open",
				"condition.a.low cell B1.1 major wrong",
			},
			want: []string{"put right: condition.a.low/cell B1.1", "find out: condition.a.low/cell B1.2 condition.a.low/cell B1.10"},
		},
		{
			name: "other rules that fell with one make it another action",
			outcomes: []string{
				"condition.a.low cell B1.1 major wrong",
				"condition.a.low cell B1.2 major wrong",
				"condition.a.weak cell B1.2 major wrong",
			},
			want: []string{
				"put right: condition.a.low/cell B1.1",
				"put right: condition.a.low/cell B1.2 <condition.a.weak/cell B1.2>",
			},
		},
		{
			name: "what is said about a rule goes to what the rule found",
			outcomes: []string{
				"condition.a.low cell B1.1 major wrong",
				"procedure.closing.answered rule condition.a.low major wrong",
				"procedure.closing.answered rule condition.a.other major wrong",
			},
			want: []string{
				"put right: condition.a.low/cell B1.1 about <procedure.closing.answered/rule condition.a.low>",
				"put right: procedure.closing.answered/rule condition.a.other",
			},
		},
		{
			name: "but not if it weighs more",
			outcomes: []string{
				"condition.a.low cell B1.1 major open",
				"procedure.closing.answered rule condition.a.low major wrong",
			},
			want: []string{
				"put right: procedure.closing.answered/rule condition.a.low",
				"find out: condition.a.low/cell B1.1",
			},
		},
		{
			name: "what is conceded stands apart from what is not",
			outcomes: []string{
				"condition.a.low cell B1.1 major conceded",
				"condition.a.weak cell B1.1 major wrong",
			},
			want: []string{"put right: condition.a.weak/cell B1.1", "stands: condition.a.low/cell B1.1"},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var outcomes []verdict.Outcome
			findings := 0
			for _, text := range tt.outcomes {
				o := finding(t, text)
				outcomes = append(outcomes, o)
				if o.Finding() {
					findings++
				}
			}
			actions := verdict.Actions(outcomes)
			if got := told(actions); !slices.Equal(got, tt.want) {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(tt.want, "\n"))
			}
			slices.Reverse(outcomes)
			if got := told(verdict.Actions(outcomes)); !slices.Equal(got, tt.want) {
				t.Errorf("in another order:\n%s", strings.Join(got, "\n"))
			}
			in := 0
			for _, a := range actions {
				in += len(a.Outcomes())
			}
			if in != findings {
				t.Errorf("%d findings are in the actions, want each of %d once", in, findings)
			}
		})
	}
}

func TestTally(t *testing.T) {
	var tally verdict.Tally
	for _, v := range []struct {
		a verdict.AcceptanceValue
		s verdict.Serviceability
	}{
		{verdict.Accepted, verdict.Serviceable},
		{verdict.Accepted, verdict.Unserviceable},
		{verdict.Rejected, verdict.Restricted},
		{verdict.Incomplete, verdict.Undetermined},
		{"", ""},
	} {
		tally.Add(&verdict.Verdict{
			Acceptance: verdict.Acceptance{Value: v.a}, Serviceability: v.s,
			NeedsAttention: v.a != verdict.Accepted || v.s != verdict.Serviceable,
		})
	}
	want := verdict.Tally{
		Visits: 5, Accepted: 2, Rejected: 1, Incomplete: 2,
		Serviceable: 1, Restricted: 1, Unserviceable: 1, Undetermined: 2, NeedAttention: 4,
	}
	if tally != want {
		t.Errorf("got  %+v\nwant %+v", tally, want)
	}
}
