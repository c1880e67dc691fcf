package reports

import (
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// pageGroup is actions of one need.
type pageGroup struct {
	Heading string
	// Compact is of what could not be judged: there is nothing to put right.
	Compact bool
	Actions []pageAction
}

// pageAction is one thing to do.
type pageAction struct {
	Severity, Title, Rule string
	Findings              []pageFinding
	About                 []said
	By                    string // the concession it stands by
	Why, Do, Who          string
	Limits                []string
	Cautions              []string
}

// pageFinding is what was found of one subject, or of several alike.
type pageFinding struct {
	Text    string
	Pointer string
	Same    []said
}

// Label and Text are for the template.
func (s said) Label() string { return strings.TrimSuffix(s.label, ": ") }

// Text is what is said.
func (s said) Text() string { return s.text }

// generalCautions go before all work, whatever was found.
var generalCautions = []string{
	"This page judges a record. Nobody who made it has seen the machine.",
	"The manuals of the machine, of the battery and of the charger and the local rules go before every number here. Work on batteries, on mains and on moving parts is for qualified people.",
}

// actions lays out what must be done.
func (p *page) actions(v *verdict.Verdict, s *sheet.Sheet) {
	p.Cautions = slices.Clone(generalCautions)
	n := map[verdict.Need]int{}
	for _, a := range verdict.Actions(v.Outcomes) {
		n[a.Need]++
		to := &p.Done
		switch a.Need {
		case verdict.FindOut:
			to = &p.Open
		case verdict.Plan:
			to = &p.Plan
		}
		if k := len(*to); k == 0 || (*to)[k-1].Heading != groupHeadings[a.Need] {
			*to = append(*to, pageGroup{Heading: groupHeadings[a.Need], Compact: a.Need == verdict.FindOut})
		}
		group := &(*to)[len(*to)-1]
		group.Actions = append(group.Actions, actionOf(a, s))
		for _, o := range a.Outcomes() {
			for _, c := range o.Cautions {
				if c = lines.Sentence(c); !slices.Contains(p.Cautions, c) {
					p.Cautions = append(p.Cautions, c)
				}
			}
		}
	}
	for _, ig := range v.Ignored {
		p.Warnings = append(p.Warnings, "Concession "+ig.ID+" was not applied: "+lines.Sentence(ig.Why))
	}
	p.Todo = todo(n)
}

// groupHeadings are what stands above the actions of a need. What could not be
// judged and the plan have parts of the page for themselves.
var groupHeadings = map[verdict.Need]string{
	verdict.PutRight: "To put right",
	verdict.Note:     "Also seen, and minor",
	verdict.Stands:   "Stands by concession",
}

// todo says how much there is to do.
func todo(n map[verdict.Need]int) string {
	right, open := n[verdict.PutRight], n[verdict.FindOut]
	said := lines.Count(right, "thing must be put right", "things must be put right")
	if right == 0 {
		said = "nothing has to be put right in what was checked"
	}
	if open > 0 {
		said += "; " + lines.Count(open, "thing could not be judged", "things could not be judged")
	}
	if notes := n[verdict.Note]; notes > 0 {
		said += "; " + lines.Count(notes, "minor thing was noted", "minor things were noted")
	}
	return lines.Sentence(said)
}

// actionOf lays out one thing to do.
func actionOf(a verdict.Action, s *sheet.Sheet) pageAction {
	root := a.Root()
	out := pageAction{Severity: string(root.Severity), Title: root.Title, Rule: root.Rule, About: sameCause(a.About)}
	statement, ok := alike(a)
	if ok {
		pointer, others := commonPlace(a)
		out.Findings = []pageFinding{{
			Text: lines.Sentence(subjects(a) + ": " + statement), Pointer: pointer + others, Same: sameCause(likewise(a)),
		}}
	} else {
		for _, f := range a.Findings {
			out.Findings = append(out.Findings, pageFinding{Text: told(f.Root), Pointer: f.Root.Pointer, Same: sameCause(f.Same)})
		}
	}
	for _, said := range advice(a) {
		switch said.label {
		case "by":
			out.By = said.text
		case "why":
			out.Why = said.text
		case "do":
			out.Do = said.text
		case "who":
			out.Who = said.text
		}
	}
	if a.Need != verdict.Note && (root.Outcome == verdict.Nonconforming || root.Because == verdict.Limit) {
		out.Limits = limitsSaid(a, s)
	}
	if root.Outcome != verdict.Nonconforming {
		return out
	}
	for _, o := range a.Outcomes() {
		for _, c := range o.Cautions {
			if c = lines.Sentence(c); !slices.Contains(out.Cautions, c) {
				out.Cautions = append(out.Cautions, c)
			}
		}
	}
	return out
}

// limitsSaid are the limits that the statements name, and where each comes from.
// A rule may know of more, which it judged by in other cases.
func limitsSaid(a verdict.Action, s *sheet.Sheet) []string {
	var out []string
	add := func(line string) {
		if !slices.Contains(out, line) {
			out = append(out, line)
		}
	}
	for _, f := range a.Findings {
		for _, fact := range f.Root.Facts {
			switch {
			case fact.Limit != "" && strings.Contains(f.Root.Statement, fact.Text):
				name, bound, _ := strings.Cut(fact.Limit, " ")
				add(limitName(name) + ", " + bounds[bound] + " " + fact.Text + ": " + basis(fact))
			case fact.Name == "limit" && fact.Limit == "":
				for _, l := range fullCharge(s, fact.Text) {
					add(l)
				}
			}
		}
	}
	return out
}

// bounds are the words for the bounds of a limit.
var bounds = map[string]string{"min": "at least", "max": "at most"}

// limitName is the name of a limit as words: battery.spread_minor.
func limitName(name string) string {
	_, last, ok := strings.Cut(name, ".")
	if !ok {
		last = name
	}
	return strings.ReplaceAll(last, "_", " ")
}

// fullCharge is where the gravity of a full charge comes from, if that is the
// number given.
func fullCharge(s *sheet.Sheet, text string) []string {
	if s == nil || s.Figures == nil || len(s.Figures.FullCharge) != 1 {
		return nil
	}
	full := s.Figures.FullCharge[0]
	if full.Least.Text != text {
		return nil
	}
	fact := verdict.Fact{Source: full.From.Source, Mark: full.From.Mark}
	if len(full.Nameplate) == 1 {
		return []string{"gravity of a full charge, at least " + text + ": the class's nameplate, " + full.Nameplate[0].Text + ", less " + full.From.Text + ", " + basis(fact)}
	}
	return []string{"gravity of a full charge, at least " + text + ": " + basis(fact)}
}
