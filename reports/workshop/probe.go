package workshop

import (
	"fmt"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/probe"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// Numbers is at which values the numbers of one visit turn an outcome.
type Numbers struct {
	Release string         `json:"release"`
	Visit   string         `json:"visit"`
	Numbers []probe.Number `json:"numbers"`
}

// Page puts the numbers on a page: each with what turns, going out from the value in
// the record, and last those that turn nothing.
func (n Numbers) Page(p *Page) {
	turning := 0
	var quiet []string
	for _, one := range n.Numbers {
		if len(one.Turns) == 0 {
			quiet = append(quiet, one.Place+" ("+one.Pointer+")")
			continue
		}
		turning++
	}
	p.Title(fmt.Sprintf("Visit %s by release %s: %s turn an outcome, %d do not", n.Visit, n.Release, lines.Count(turning, "number", "numbers"), len(quiet)))
	for _, one := range n.Numbers {
		if len(one.Turns) == 0 {
			continue
		}
		unit := ""
		if one.Symbol != "" {
			unit = " " + one.Symbol
		}
		p.Name(one.Place)
		p.Paragraph("In the record " + one.Value + unit + ", at " + one.Pointer + "; searched in steps of " + one.Step + ".")
		var turns []string
		for _, t := range one.Turns {
			text := t.Rule + ": " + subjects(t.Subjects) + turnVerb(len(t.Subjects)) + t.To + " " + t.Side + " " + t.At + unit
			if t.With != "" {
				text += ", with " + t.With
			}
			turns = append(turns, text)
		}
		p.Items(turns...)
	}
	if len(quiet) > 0 {
		p.Heading("Nothing turns on these")
		p.Items(quiet...)
	}
}

// turnVerb is the verb for one subject or several.
func turnVerb(n int) string {
	if n == 1 {
		return " turns "
	}
	return " turn "
}

// subjects lists subjects as a sentence does; many are counted.
func subjects(list []string) string {
	const few = 4
	switch {
	case len(list) == 1:
		return list[0]
	case len(list) > few:
		return list[0] + " to " + list[len(list)-1] + fmt.Sprintf(" (%d)", len(list))
	}
	return strings.Join(list[:len(list)-1], ", ") + " and " + list[len(list)-1]
}

// Fields is which fields of one visit any outcome hangs on.
type Fields struct {
	Release string        `json:"release"`
	Visit   string        `json:"visit"`
	Fields  []probe.Field `json:"fields"`
}

// fieldGroup are the values of one field, wherever it stands in the record.
type fieldGroup struct {
	field   string
	values  int
	changes int // values that change an outcome, taken out or changed
	refused int // values without which the record is refused
	rules   []string
}

// Page puts the fields on a page, those that stand several times counted.
func (f Fields) Page(p *Page) {
	var groups []*fieldGroup
	byName := map[string]*fieldGroup{}
	for _, one := range f.Fields {
		g := byName[one.Field]
		if g == nil {
			g = &fieldGroup{field: one.Field}
			byName[one.Field] = g
			groups = append(groups, g)
		}
		g.values++
		if one.Removed == probe.Changes || one.Changed == probe.Changes {
			g.changes++
		}
		if one.Removed == probe.Refused {
			g.refused++
		}
		for _, r := range one.Rules {
			if !slices.Contains(g.rules, r) {
				g.rules = append(g.rules, r)
			}
		}
	}
	slices.SortFunc(groups, func(a, b *fieldGroup) int { return strings.Compare(a.field, b.field) })
	p.Title("Visit " + f.Visit + " by release " + f.Release + ": what its outcomes hang on")
	var live, dead [][2]string
	for _, g := range groups {
		needed := ""
		switch g.refused {
		case 0:
		case g.values:
			needed = "; without it the record is refused"
		default:
			needed = fmt.Sprintf("; without %d of them the record is refused", g.refused)
		}
		if g.changes == 0 {
			dead = append(dead, [2]string{g.field, lines.Sentence(lines.Count(g.values, "value", "values") + needed)})
			continue
		}
		slices.Sort(g.rules)
		live = append(live, [2]string{g.field, lines.Sentence(fmt.Sprintf("%d of %s change an outcome%s: %s", g.changes, lines.Count(g.values, "value", "values"), needed, strings.Join(g.rules, ", ")))})
	}
	if len(live) > 0 {
		p.Heading("These change an outcome, taken out or changed")
		p.Definitions(live...)
	}
	if len(dead) > 0 {
		p.Heading("These change nothing, as far as was tried")
		p.Definitions(dead...)
	}
}
