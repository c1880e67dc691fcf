package examples

import (
	"fmt"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Result is what came of the examples of one rule.
type Result struct {
	Rule     string
	RuleFile string // inside the release
	File     string // examples file, inside the release
	Examples []Example
	Seen     Seen
	// Lines counts the lines of the rule's file that an example can reach, Reached
	// those that one did.
	Lines, Reached int
	// Problems are those of the rule as a whole: examples that are wanting, lines
	// that none reaches. They stand besides those of the single examples.
	Problems []Problem
}

// Example is what came of one example.
type Example struct {
	Name     string
	Line     int
	Problems []Problem // in the rule's examples file; none when it shows what it says
}

// Seen counts the outcomes that the examples expected and saw.
type Seen struct {
	Conforming, Nonconforming, Evidence, Limit, State, Spared int
}

// Problem is one thing that is not as it must be.
type Problem struct {
	File    string // inside the release
	Line    int    // 1-based; 0 for the file as a whole
	Message string
}

// String is the problem with its place.
func (p Problem) String() string {
	if p.Line == 0 {
		return p.File + ": " + p.Message
	}
	return fmt.Sprintf("%s:%d: %s", p.File, p.Line, p.Message)
}

func (r *Result) add(line int, format string, args ...any) {
	r.Problems = append(r.Problems, Problem{File: r.File, Line: line, Message: fmt.Sprintf(format, args...)})
}

func (e *Example) add(line int, format string, args ...any) {
	e.Problems = append(e.Problems, Problem{Line: line, Message: fmt.Sprintf(format, args...)})
}

// word is an outcome as examples write it.
func word(o verdict.Outcome) string {
	switch o.Outcome {
	case verdict.Indeterminate:
		return string(o.Because)
	case verdict.NotApplicable:
		return "spared"
	}
	return string(o.Outcome)
}

// compare holds what the rule answered against what the example expects.
func (e example) compare(answer *judge.Answer, out *Example, seen *Seen) {
	met := map[string]bool{}
	for _, o := range answer.Outcomes {
		got := word(o)
		want, named := e.expect[o.Subject]
		switch {
		case got == "spared":
			want = "not spared"
			if e.spared {
				want = got
			}
		case e.spared:
			want = "spared"
		case !named:
			want = e.expect[others]
		}
		met[o.Subject] = named
		switch {
		case want == "":
			out.add(e.line, "%s is %s; the example does not say what it must be", o.Subject, got)
		case got != want:
			out.add(e.line, "%s is %s, expected %s: %s", o.Subject, got, want, o.Statement)
		default:
			seen.count(got)
		}
		if want, graded := e.severity[o.Subject]; graded && string(o.Severity) != want {
			out.add(e.line, "%s is of severity %s, expected %s", o.Subject, o.Severity, want)
		}
	}
	for _, expected := range []map[string]string{e.expect, e.severity} {
		for subject := range expected {
			if subject != others && !met[subject] && !slices.ContainsFunc(answer.Outcomes, func(o verdict.Outcome) bool { return o.Subject == subject }) {
				out.add(e.line, "%s is no subject of the rule on this visit", subject)
			}
		}
	}
	slices.SortFunc(out.Problems, func(a, b Problem) int { return strings.Compare(a.Message, b.Message) })
	out.Problems = slices.Compact(out.Problems)
}

func (s *Seen) count(word string) {
	switch word {
	case "conforming":
		s.Conforming++
	case "nonconforming":
		s.Nonconforming++
	case "evidence":
		s.Evidence++
	case "limit":
		s.Limit++
	case "state":
		s.State++
	case "spared":
		s.Spared++
	}
}

// demand says which outcomes no example shows.
func (r *Result) demand() {
	if r.Seen.Conforming == 0 {
		r.add(0, "the rule was never seen conforming")
	}
	if r.Seen.Nonconforming == 0 {
		r.add(0, "the rule was never seen nonconforming")
	}
	if r.Seen.Evidence+r.Seen.Limit+r.Seen.State+r.Seen.Spared == 0 {
		r.add(0, "the rule was never seen indeterminate, nor spared")
	}
}

// texts follows which placeholders of a rule's texts the examples filled.
type texts struct {
	rule ruleset.Rule
	used map[string]map[string]bool // template to placeholder to filled
}

func newTexts(rule ruleset.Rule) *texts {
	return &texts{rule: rule, used: map[string]map[string]bool{}}
}

// note takes down what the findings of one answer filled.
func (t *texts) note(answer *judge.Answer) {
	for _, o := range answer.Outcomes {
		if !o.Finding() {
			continue
		}
		for _, text := range []string{judge.Template(t.rule, o), t.rule.Remedy} {
			filled := t.used[text]
			if filled == nil {
				filled = map[string]bool{}
				t.used[text] = filled
			}
			for _, name := range placeholders(text) {
				has := name == "subject" || slices.ContainsFunc(o.Facts, func(f verdict.Fact) bool { return f.Name == name })
				filled[name] = filled[name] || has
			}
		}
	}
}

// demand says which placeholders stay empty in every example that prints them:
// misspelt ones, mostly.
func (t *texts) demand(r *Result) {
	for _, text := range []string{t.rule.Says, t.rule.Needs, t.rule.NeedsLimit, t.rule.NeedsState, t.rule.Remedy} {
		filled, printed := t.used[text]
		if !printed || text == "" {
			continue
		}
		for _, name := range placeholders(text) {
			if !filled[name] {
				r.Problems = append(r.Problems, Problem{File: r.RuleFile,
					Message: fmt.Sprintf("no example fills {%s} of %q", name, text)})
			}
		}
	}
}

// placeholders are the names in braces of a text. The loader of releases has
// checked the braces.
func placeholders(text string) []string {
	names, _ := ruleset.Placeholders(text)
	return names
}
