package workshop

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/visitgauge/visitgauge/engine/mutation"
	"github.com/visitgauge/visitgauge/engine/ruletest"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// Trial is what came of the tests of a release.
type Trial struct {
	Release string `json:"release"`
	Digest  string `json:"digest"`
	*ruletest.Result
}

// NewTrial puts a release to what came of its tests.
func NewTrial(release, digest string, result *ruletest.Result) Trial {
	return Trial{Release: release, Digest: digest, Result: result}
}

// Page puts the trial on a page: a table of the rules, then all that is to be
// mended, and a line that adds it up at the end.
func (t Trial) Page(p *Page) {
	p.Title("Tests of release " + t.Release)
	var rows [][]string
	for _, r := range t.Rules {
		rows = append(rows, []string{
			number(r.Examples), number(r.Conforming), number(r.Nonconforming), number(r.Indeterminate), number(r.Spared),
			fmt.Sprintf("%d/%d", r.Reached, r.Lines), r.Name,
		})
	}
	p.Table([]string{"ex.", "conf.", "nonc.", "ind.", "spared", "lines", "rule"}, rows)
	if len(t.Problems) > 0 {
		p.Heading("Examples, tests and lines to be mended")
		var list []string
		for _, problem := range t.Problems {
			list = append(list, place(problem.File, problem.Line)+": "+problem.Message)
		}
		p.Items(list...)
	}
	if t.Mutation != nil {
		mutated(p, t.Mutation)
	}
	p.Paragraph(t.sum())
}

// mutated lays out what came of the changes.
func mutated(p *Page, m *mutation.Result) {
	if len(m.Holes) > 0 {
		p.Heading("Changes that no example notices")
		var list []string
		for _, h := range m.Holes {
			list = append(list, fmt.Sprintf("%s: %s: %s %s. %s", place(h.File, h.Line), h.Rule, shortened(h.Text), h.What, ran(h)))
		}
		p.Items(list...)
		p.Paragraph("Add an example that answers otherwise under the change; if no record can show it, list it in examples/unnoticed.yaml with the reason.")
	}
	if len(m.Unneeded) > 0 {
		p.Heading("Listed as unnoticed, and noticed or no longer there")
		var list []string
		for _, u := range m.Unneeded {
			list = append(list, fmt.Sprintf("%s: %s: %s %s; remove the entry", place(u.File, u.Line), u.Rule, u.Text, u.What))
		}
		p.Items(list...)
	}
	p.Heading("Changes tried")
	var rows [][]string
	elsewhere := 0
	for _, c := range m.Counts {
		elsewhere += c.Elsewhere
		rows = append(rows, []string{number(c.Tried), number(c.Noticed), number(c.Listed), number(c.Holes), changed[c.Kind]})
	}
	p.Table([]string{"tried", "noticed", "listed", "holes", "what was changed"}, rows)
	if elsewhere > 0 {
		p.Paragraph(fmt.Sprintf("%s not noticed here, where the examples of other rules may notice; without --rule they are run.",
			lines.Count(elsewhere, "change was", "changes were")))
	}
}

// changed says what each kind of change is.
var changed = map[mutation.Kind]string{
	mutation.Limit:      "a number of the limits or of a class, by a step",
	mutation.Comparison: "a comparison, turned",
	mutation.Source:     "where subjects come from, left out",
	mutation.Body:       "another body, left out",
}

// ran says which examples were run for a hole.
func ran(h mutation.Hole) string {
	if len(h.Ran) == 0 {
		return "No example comes to where it would make a difference."
	}
	return fmt.Sprintf("Run: %s of %s.", lines.Count(h.Examples, "example", "examples"), strings.Join(h.Ran, ", "))
}

// sum adds it all up in one line.
func (t Trial) sum() string {
	examples, failing := 0, len(t.Problems)
	for _, r := range t.Rules {
		examples += r.Examples
	}
	parts := []string{
		lines.Count(len(t.Rules), "rule", "rules"), lines.Count(examples, "example", "examples"), lines.Count(len(t.Tests), "test", "tests"),
		lines.Count(failing, "problem", "problems"),
	}
	switch {
	case t.Mutation != nil:
		tried, noticed, listed := 0, 0, 0
		for _, c := range t.Mutation.Counts {
			tried, noticed, listed = tried+c.Tried, noticed+c.Noticed, listed+c.Listed
		}
		parts = append(parts, fmt.Sprintf("%s, of which %d noticed, %d listed, %s", lines.Count(tried, "change", "changes"), noticed, listed,
			lines.Count(len(t.Mutation.Holes), "hole", "holes")))
	case t.NotTried != "":
		parts = append(parts, "no changes tried: "+t.NotTried)
	default:
		parts = append(parts, "no changes tried")
	}
	return strings.Join(parts, "; ")
}

func place(file string, line int) string {
	if line == 0 {
		return file
	}
	return fmt.Sprintf("%s:%d", file, line)
}

func number(n int) string { return strconv.Itoa(n) }

// longest is how much of what stands in a rule is shown, in characters.
const longest = 90

func shortened(text string) string {
	if r := []rune(text); len(r) > longest {
		return string(r[:longest-1]) + "…"
	}
	return text
}
