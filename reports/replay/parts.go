package replay

import (
	"fmt"
	"strings"

	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// The answers of transitions in the order in which they are told.
var (
	acceptances      = []string{string(verdict.Accepted), string(verdict.Incomplete), string(verdict.Rejected)}
	serviceabilities = []string{string(verdict.Serviceable), string(verdict.Restricted), string(verdict.Undetermined), string(verdict.Unserviceable)}
	completions      = []string{string(verdict.Full), string(verdict.Partial), string(verdict.Stopped), string(verdict.None)}
)

// A part is one kind of answer with its transitions.
type part struct {
	Name, What  string
	Answers     []string
	Transitions []replay.Transition
}

func parts(r *replay.Replay) []part {
	return []part{
		{"Acceptance", "visits by acceptance", acceptances, r.Acceptance},
		{"Serviceability", "visits by the state in which the machine was left", serviceabilities, r.Serviceability},
		{"Completion", "visits by how much of the service was done", completions, r.Completion},
	}
}

// count is how many visits went from one answer to another.
func (p part) count(old, now string) int {
	for _, t := range p.Transitions {
		if t.Old == old && t.New == now {
			return t.Count
		}
	}
	return 0
}

// turned is how many went to another.
func (p part) turned() int {
	n := 0
	for _, t := range p.Transitions {
		if t.Old != t.New {
			n += t.Count
		}
	}
	return n
}

// grid is the transitions as rows of a table, one an old answer, with its sum at the
// end and the sums of the new answers below.
func (p part) grid() (head []string, rows [][]string) {
	head = append([]string{"as judged"}, p.Answers...)
	head = append(head, "sum")
	sums := make([]int, len(p.Answers)+1)
	for _, old := range p.Answers {
		row, all := []string{old}, 0
		for i, now := range p.Answers {
			n := p.count(old, now)
			row = append(row, fmt.Sprint(n))
			sums[i] += n
			all += n
		}
		sums[len(p.Answers)] += all
		rows = append(rows, append(row, fmt.Sprint(all)))
	}
	last := []string{"sum"}
	for _, n := range sums {
		last = append(last, fmt.Sprint(n))
	}
	return head, append(rows, last)
}

// turns are the transitions to another answer, in words, in the order of the answers.
func (p part) turns() []string {
	var out []string
	for _, t := range p.Transitions {
		if t.Old != t.New {
			out = append(out, fmt.Sprintf("%s → %s: %s", t.Old, t.New, lines.Count(t.Count, "visit", "visits")))
		}
	}
	return out
}

// ways says how many visits turned which way between the best answer and the others.
func ways(r *replay.Replay) string {
	if r.Visits.Turned == 0 {
		return ""
	}
	accepted, serviceable := string(verdict.Accepted), string(verdict.Serviceable)
	lost, won := crossed(r.Acceptance, accepted)
	text := fmt.Sprintf("Of the visits that were accepted, %s would not have been; of those that were not, %s would have been.", number(lost), number(won))
	lost, won = crossed(r.Serviceability, serviceable)
	return text + fmt.Sprintf(" Of the visits that left a machine serviceable, %s would not have; of the others, %s would have.", number(lost), number(won))
}

// crossed counts the visits that turned from an answer to another one, and to it.
func crossed(list []replay.Transition, answer string) (lost, won int) {
	for _, t := range list {
		switch {
		case t.Old == t.New:
		case t.Old == answer:
			lost += t.Count
		case t.New == answer:
			won += t.Count
		}
	}
	return lost, won
}

// number is a number as a sentence has it.
func number(n int) string {
	if n == 0 {
		return "none"
	}
	return fmt.Sprint(n)
}

// asked says what stands apart from the visits that were judged on both sides in full;
// nothing where nothing does.
func asked(r *replay.Replay) string {
	v := r.Visits
	var out []string
	if n := v.Selected - v.Judged; n > 0 {
		out = append(out, fmt.Sprintf("%s of the %d asked about could not be judged on both sides", lines.Count(n, "visit", "visits"), v.Selected))
	}
	if v.NotAsked > 0 {
		out = append(out, fmt.Sprintf("%s could not have been asked all that %s asks", lines.Count(v.NotAsked, "visit", "visits"), r.New.Name))
	}
	if len(out) == 0 {
		return ""
	}
	return "Counted apart: " + strings.Join(out, "; ") + "."
}
