package replay

import (
	"fmt"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// A group is outcomes of one rule that turned alike.
type group struct {
	Rule, Title, Turn string
	Outcomes          []replay.OutcomeChange
}

// groups puts outcomes that turned alike together, in the order of the first of each.
func groups(outcomes []replay.OutcomeChange) []group {
	var out []group
	at := map[[2]string]int{}
	for _, o := range outcomes {
		how := o.Old.Answer().String() + " → " + o.New.Answer().String()
		key := [2]string{o.Rule, how}
		i, ok := at[key]
		if !ok {
			i = len(out)
			at[key] = i
			out = append(out, group{Rule: o.Rule, Title: o.Title, Turn: how})
		}
		out[i].Outcomes = append(out[i].Outcomes, o)
	}
	return out
}

// subjects lists subjects as a sentence does; many are counted.
func (g group) subjects() string {
	const few = 4
	n := len(g.Outcomes)
	if n > few {
		return fmt.Sprintf("%s to %s (%d)", g.Outcomes[0].Subject, g.Outcomes[n-1].Subject, n)
	}
	var out []string
	for _, o := range g.Outcomes {
		out = append(out, o.Subject)
	}
	return strings.Join(out, ", ")
}

// mostSaid is how many statements of one side are told of outcomes that turned alike.
const mostSaid = 3

// A telling is what one side says of outcomes that turned alike.
type telling struct {
	Side string // "would be said" or "was said"
	Said []statement
	More int // statements that are not told
}

// A statement is a sentence, and what it rests on.
type statement struct{ Text, Facts string }

// tellings are what the sides say, each sentence once. A side whose answer is no
// finding says nothing.
func (g group) tellings() []telling {
	var out []telling
	for _, side := range []struct {
		name string
		of   func(replay.OutcomeChange) *replay.Said
	}{
		{"would be said", func(o replay.OutcomeChange) *replay.Said { return o.New }},
		{"was said", func(o replay.OutcomeChange) *replay.Said { return o.Old }},
	} {
		t := telling{Side: side.name}
		seen := map[string]bool{}
		for _, o := range g.Outcomes {
			s := side.of(o)
			if s == nil || s.Outcome != verdict.Nonconforming && s.Outcome != verdict.Indeterminate || seen[s.Statement] {
				continue
			}
			seen[s.Statement] = true
			if len(t.Said) < mostSaid {
				t.Said = append(t.Said, statement{Text: s.Statement, Facts: facts(s)})
			} else {
				t.More++
			}
		}
		if len(t.Said) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// sentence is a telling in running text.
func (t telling) sentence() string {
	var out []string
	for _, s := range t.Said {
		out = append(out, s.Text)
	}
	text := t.Side + ": " + strings.Join(out, " ")
	if t.More > 0 {
		text += fmt.Sprintf(" (%d more)", t.More)
	}
	return text
}

// facts are those that a statement rests on. A limit of which the statement has
// nothing decided other cases, and is left out.
func facts(s *replay.Said) string {
	var out []string
	for _, f := range s.Facts {
		if f.Limit != "" && !strings.Contains(s.Statement, f.Text) {
			continue
		}
		text := strings.ReplaceAll(f.Name, "_", " ") + " " + f.Text
		if f.Limit != "" {
			text += " (" + f.Limit + ")"
		}
		if !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return strings.Join(out, "; ")
}
