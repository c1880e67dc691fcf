package verdict

import (
	"cmp"
	"slices"
	"strings"
)

// Need says what somebody has to do about a finding.
type Need int

// The needs, in the order in which they are told.
const (
	// PutRight: something is wrong, and is critical or major.
	PutRight Need = iota
	// FindOut: something critical or major could not be judged.
	FindOut
	// Note: something minor is wrong or could not be judged.
	Note
	// Plan: the service plan is not kept. It changes neither answer.
	Plan
	// Stands: something is wrong and stands by a concession.
	Stands
)

// Action is one thing to do about one or more findings that are alike: the root
// is of the same rule with the same answer and remedy, and the same other rules
// fell with it.
type Action struct {
	Need Need
	// Findings are sorted by subject, at least one.
	Findings []Finding
	// About are outcomes whose subject is the rule of one of the findings: that
	// nobody answered what it found, say.
	About []Outcome
}

// Root is the first finding's, for what all of them have in common: rule,
// severity, remedy and the like.
func (a Action) Root() Outcome { return a.Findings[0].Root }

// Outcomes are all that the action is about.
func (a Action) Outcomes() []Outcome {
	var out []Outcome
	for _, f := range a.Findings {
		out = append(append(out, f.Root), f.Same...)
	}
	return append(out, a.About...)
}

// Finding is what is wrong with one subject.
type Finding struct {
	// Root is the gravest outcome; what was measured goes before what was done.
	Root Outcome
	// Same are the others that have the same cause.
	Same []Outcome
}

// everything is the subject that stands for the visit as a whole. Findings about
// it share a name, not a cause.
const everything = "visit"

// aboutRule is how a subject begins that is a rule, as with rules that ask
// whether the findings of others were answered.
const aboutRule = "rule "

// Actions sorts the findings among outcomes into what has to be done, gravest
// first. Findings about one subject have one cause, and a finding about a rule
// has the cause of what that rule found. It is done here, once, so that every
// report tells the same.
func Actions(outcomes []Outcome) []Action {
	var out, about []Action
	at := map[string]int{}
	for _, f := range bySubject(outcomes) {
		if strings.HasPrefix(f.Root.Subject, aboutRule) {
			about = append(about, Action{Need: needOf(f.Root), Findings: []Finding{f}})
			continue
		}
		key := likeness(f)
		i, seen := at[key]
		if !seen {
			i = len(out)
			at[key] = i
			out = append(out, Action{Need: needOf(f.Root)})
		}
		out[i].Findings = append(out[i].Findings, f)
	}
	slices.SortStableFunc(out, compareActions)
	for _, a := range about {
		if i := causeOf(out, a); i >= 0 {
			out[i].About = slices.Concat(out[i].About, []Outcome{a.Root()}, a.Findings[0].Same)
		} else {
			out = append(out, a)
		}
	}
	slices.SortStableFunc(out, compareActions)
	return out
}

// causeOf finds the first of sorted actions with a finding of the rule that an
// action is about, or -1. One that weighs more than its cause is told for itself,
// lest it hides under a note.
func causeOf(sorted []Action, about Action) int {
	rule := strings.TrimPrefix(about.Root().Subject, aboutRule)
	return slices.IndexFunc(sorted, func(a Action) bool {
		return a.finds(rule) && cmp.Or(cmp.Compare(a.Need, about.Need), cmp.Compare(gravity(a.Root()), gravity(about.Root()))) <= 0
	})
}

// finds reports whether a rule is among those of the findings.
func (a Action) finds(rule string) bool {
	return slices.ContainsFunc(a.Findings, func(f Finding) bool {
		return f.Root.Rule == rule || slices.ContainsFunc(f.Same, func(o Outcome) bool { return o.Rule == rule })
	})
}

func compareActions(a, b Action) int {
	return cmp.Or(
		cmp.Compare(a.Need, b.Need),
		compareGravity(a.Root(), b.Root()),
		CompareSubjects(a.Root().Subject, b.Root().Subject),
	)
}

// bySubject gathers the findings about each subject, sorted by subject.
func bySubject(outcomes []Outcome) []Finding {
	type key struct {
		subject, rule string
		plan          bool
		conceded      bool
	}
	of := map[key][]Outcome{}
	var keys []key
	for _, o := range outcomes {
		if !o.Finding() {
			continue
		}
		k := key{subject: o.Subject, plan: o.Concern == Programme, conceded: o.ConcededBy != ""}
		if o.Subject == everything {
			k.rule = o.Rule
		}
		if of[k] == nil {
			keys = append(keys, k)
		}
		of[k] = append(of[k], o)
	}
	findings := make([]Finding, 0, len(keys))
	for _, k := range keys {
		list := of[k]
		slices.SortStableFunc(list, compareGravity)
		findings = append(findings, Finding{Root: list[0], Same: list[1:]})
	}
	slices.SortStableFunc(findings, func(a, b Finding) int {
		return cmp.Or(CompareSubjects(a.Root.Subject, b.Root.Subject), strings.Compare(a.Root.Rule, b.Root.Rule))
	})
	return findings
}

// needOf is what a finding with this root asks for.
func needOf(o Outcome) Need {
	switch {
	case o.ConcededBy != "":
		return Stands
	case o.Concern == Programme:
		return Plan
	case o.Severity == Minor:
		return Note
	case o.Outcome == Nonconforming:
		return PutRight
	}
	return FindOut
}

// compareGravity orders outcomes gravest first: what is wrong before what could
// not be judged, unless it is minor; the state of the machine before what was
// done, for it is more often the cause.
func compareGravity(a, b Outcome) int {
	return cmp.Or(
		cmp.Compare(gravity(a), gravity(b)),
		cmp.Compare(concernRank(a.Concern), concernRank(b.Concern)),
		strings.Compare(a.Rule, b.Rule),
		CompareSubjects(a.Subject, b.Subject),
	)
}

func gravity(o Outcome) int {
	wrong := o.Outcome == Nonconforming
	switch {
	case o.Severity == Critical && wrong:
		return 0
	case o.Severity == Major && wrong:
		return 1
	case o.Severity == Critical:
		return 2
	case o.Severity == Major:
		return 3
	case wrong:
		return 4
	}
	return 5
}

func concernRank(c Concern) int {
	switch c {
	case Condition:
		return 0
	case Procedure:
		return 1
	}
	return 2
}

// likeness is the same for findings that are alike.
func likeness(f Finding) string {
	parts := []string{
		f.Root.Rule, string(f.Root.Outcome), string(f.Root.Because), string(f.Root.Severity),
		f.Root.Remedy, f.Root.Who, f.Root.ConcededBy,
	}
	for _, o := range f.Same {
		parts = append(parts, o.Rule, string(o.Outcome), string(o.Severity))
	}
	return strings.Join(parts, "\x00")
}
