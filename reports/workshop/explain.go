package workshop

import (
	"strings"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/explain"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// Explanation puts what a release says of a rule on a page.
func Explanation(x *explain.Explanation) func(*Page) {
	return func(p *Page) {
		r := x.Rule
		p.Title(r.Name + ", release " + x.Release)
		p.Paragraph(lines.Sentence("It must be: " + r.Title))
		basis := r.Basis
		for _, s := range r.Sources {
			basis = strings.TrimPrefix(basis+"; "+strings.TrimSuffix(s.Ref+", "+s.Description, ", "), "; ")
		}
		p.Pairs(
			[2]string{"why", r.Description},
			[2]string{"severity", r.Severity},
			[2]string{"source", basis},
			[2]string{"if not", r.Says},
			[2]string{"if not known", r.Needs},
			[2]string{"if it could not be", r.NeedsState},
			[2]string{"if too close", r.NeedsLimit},
			[2]string{"what to do", r.Remedy},
			[2]string{"who may", r.Who},
			[2]string{"concession", r.Concession},
			[2]string{"since record", r.Since},
		)
		if len(r.Cautions) > 0 {
			p.Heading("Before it is done")
			p.Items(r.Cautions...)
		}
		x2 := explained{x}
		x2.limits(p)
		x2.fields(p)
		x2.examples(p)
		x2.history(p)
	}
}

type explained struct{ *explain.Explanation }

func (x explained) limits(p *Page) {
	if len(x.Limits) == 0 && !x.AnyInstrument && len(x.Class) == 0 && len(x.Steps) == 0 {
		return
	}
	p.Heading("Limits and other data of the release that it reads")
	for _, l := range x.Limits {
		p.Pairs(
			[2]string{"limit", l.Name + ": " + l.Title},
			[2]string{"value", bounds(l)},
			[2]string{"decided", l.Decided + ", place " + l.Place},
			[2]string{"source", sourceOf(l)},
			[2]string{"note", l.Note},
		)
	}
	kinds := ""
	if x.AnyInstrument {
		kinds = "the least kind of instrument for a quantity (limits.instruments)"
	}
	p.Pairs(
		[2]string{"instruments", kinds},
		[2]string{"of the class", strings.Join(x.Class, ", ")},
		[2]string{"of the steps", strings.Join(x.Steps, ", ")},
	)
}

// sourceOf is where a limit comes from, and how far that goes.
func sourceOf(l explain.Limit) string {
	if strings.HasPrefix(l.Source, l.Mark) {
		return l.Source
	}
	return strings.ReplaceAll(l.Mark, "-", " ") + ": " + l.Source
}

// bounds is what a limit allows.
func bounds(l explain.Limit) string {
	unit := " " + l.Unit
	switch {
	case l.Min == l.Max:
		return l.Min + unit
	case l.Min == "":
		return "at most " + l.Max + unit
	case l.Max == "":
		return "at least " + l.Min + unit
	}
	return l.Min + " to " + l.Max + unit
}

func (x explained) fields(p *Page) {
	p.Heading("Fields of the record that it reads")
	var list [][2]string
	for _, f := range x.Fields {
		list = append(list, [2]string{f.Pointer, lines.Sentence(f.About)})
	}
	p.Definitions(list...)
	if len(x.Earlier) == 0 {
		return
	}
	p.Heading("Fields of earlier visits that it reads")
	list = nil
	for _, f := range x.Earlier {
		list = append(list, [2]string{f.Pointer, lines.Sentence("of " + strings.Join(f.Slots, ", "))})
	}
	p.Definitions(list...)
}

func (x explained) examples(p *Page) {
	p.Heading("How it answers its examples")
	if len(x.Examples) == 0 {
		p.Paragraph("It has none.")
	}
	for _, e := range x.Examples {
		changes := strings.Join(e.Changes, "; ")
		if changes == "" {
			changes = "nothing changed"
		}
		p.Pairs(
			[2]string{"example", lines.Sentence(e.Name)},
			[2]string{"visit", e.Base + ": " + changes},
			[2]string{"earlier", strings.Join(e.Earlier, "; and ")},
			[2]string{"received", e.Received},
			[2]string{"answer", answers(e)},
		)
	}
}

// answers is what a rule says to one example.
func answers(e examples.Told) string {
	var out []string
	for _, o := range e.Outcomes {
		text := o.Subject + " is " + o.Outcome
		if o.Outcome != "conforming" && o.Subject != "others" {
			text += ": " + o.Statement
		}
		out = append(out, lines.Sentence(text))
	}
	return strings.Join(out, " ")
}

func (x explained) history(p *Page) {
	if len(x.History) == 0 {
		return
	}
	p.Heading("In which releases it changed")
	var rows [][]string
	for _, c := range x.History {
		rows = append(rows, []string{c.Release, c.State, c.From, strings.TrimSuffix(c.What+": "+strings.Join(c.Why, "; "), ": ")})
	}
	p.Table([]string{"release", "state", "from", "the rule"}, rows)
}
