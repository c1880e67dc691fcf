package workshop

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/explain"
	"github.com/visitgauge/visitgauge/engine/verdict"
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
	if len(x.Limits) == 0 && !x.AnyInstrument && len(x.ClassNumbers) == 0 && len(x.Class) == 0 && len(x.Steps) == 0 {
		return
	}
	p.Heading("Limits and other data of the release that it reads")
	for _, l := range x.Limits {
		p.Pairs(
			[2]string{"limit", l.Name + ": " + l.Title},
			[2]string{"value", bounds(l.Min, l.Max, unitOf(l.Symbol, l.Unit))},
			[2]string{"decided", l.Decided + ", place " + l.Place},
			[2]string{"source", sourceOf(l.Mark, l.Source)},
			[2]string{"note", l.Note},
		)
	}
	for rest := x.ClassNumbers; len(rest) > 0; {
		n := 1
		for n < len(rest) && rest[n].Name == rest[0].Name {
			n++
		}
		classNumber(p, rest[:n])
		rest = rest[n:]
	}
	kinds := ""
	if x.AnyInstrument {
		kinds = "the least kind of instrument for a quantity (limits.instruments)"
	}
	also := ""
	if len(x.ClassNumbers) > 0 {
		also = "also "
	}
	p.Pairs(
		[2]string{"instruments", kinds},
		[2]string{also + "of the class", parts(x.Class)},
		[2]string{"of the steps", parts(x.Steps)},
	)
}

// classNumber puts a number that several classes have on a page: once what is the same in
// all of them, and each class with its own.
func classNumber(p *Page, list []explain.ClassNumber) {
	pairs := [][2]string{{"of the class", list[0].Name + ": " + lowered(list[0].About)}}
	for _, n := range list {
		value := n.Value
		if value == "" {
			value = bounds(n.Min, n.Max, unitOf(n.Symbol, n.Unit))
		}
		pairs = append(pairs, [2]string{n.Class, value})
	}
	each := func(key string, of func(explain.ClassNumber) string) {
		var told []string
		where := map[string][]string{}
		for _, n := range list {
			text := of(n)
			if where[text] == nil {
				told = append(told, text)
			}
			where[text] = append(where[text], n.Class)
		}
		for _, text := range told {
			if len(told) > 1 && text != "" {
				text += " (" + strings.Join(where[text], ", ") + ")"
			}
			pairs = append(pairs, [2]string{key, text})
		}
	}
	each("read at step", func(n explain.ClassNumber) string { return n.Step })
	each("severity", func(n explain.ClassNumber) string { return n.Severity })
	each("decided", func(n explain.ClassNumber) string {
		if n.Decided == "" {
			return ""
		}
		return n.Decided + ", place " + n.Place
	})
	each("source", func(n explain.ClassNumber) string {
		if n.Source == "" {
			return "the class names none"
		}
		return sourceOf(n.Mark, n.Source)
	})
	p.Pairs(pairs...)
}

// lowered is a text as it stands inside a sentence.
func lowered(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToLower(first)) + text[size:]
}

// parts lists what is read of a document, the members of one part together.
func parts(paths []string) string {
	var names []string
	members := map[string][]string{}
	for _, path := range paths {
		path = strings.ReplaceAll(path, ".*", "")
		name, member := path, ""
		if i := strings.LastIndexByte(path, '.'); i >= 0 {
			name, member = path[:i], path[i+1:]
		}
		if _, ok := members[name]; !ok {
			names = append(names, name)
			members[name] = nil
		}
		if member != "" {
			members[name] = append(members[name], member)
		}
	}
	for i, name := range names {
		if of := members[name]; len(of) > 0 {
			names[i] = name + " (" + strings.Join(of, ", ") + ")"
		}
	}
	return strings.Join(names, ", ")
}

// sourceOf is where a limit comes from, and how far that goes.
func sourceOf(mark, source string) string {
	if strings.HasPrefix(source, mark) {
		return source
	}
	return strings.ReplaceAll(mark, "-", " ") + ": " + source
}

// unitOf is a unit as it stands after a number: its symbol, its code where it has none, and
// nothing for what is counted.
func unitOf(symbol, code string) string {
	switch {
	case symbol != "":
		return " " + symbol
	case code == "" || code == "1":
		return ""
	}
	return " " + code
}

// bounds is what a limit allows.
func bounds(least, most, unit string) string {
	switch {
	case least == most:
		return least + unit
	case least == "":
		return "at most " + most + unit
	case most == "":
		return "at least " + least + unit
	}
	return least + " to " + most + unit
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
		list = append(list, [2]string{f.Pointer, lines.Sentence("of " + visits(f.Slots))})
	}
	p.Definitions(list...)
}

// visits says which earlier visits, or what they left, is meant.
func visits(slots []string) string {
	said := map[string]string{
		"last_visit":    "the visit before",
		"last_services": "the last service of each level",
		"meters":        "the last visit at which a meter was read",
		"battery":       "the last visit at which the battery was measured",
		"open_items":    "the items that are still open",
		"tags":          "the tags that still hang",
		"restrictions":  "the restrictions that still stand",
		"meter_changes": "the meters changed at earlier visits",
	}
	var list []string
	for _, slot := range slots {
		if said[slot] != "" {
			slot = said[slot]
		}
		list = append(list, slot)
	}
	return strings.Join(list, ", and of ")
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
		text := o.Subject + " " + came(o.Outcome)
		if o.Outcome != "conforming" && o.Subject != "others" {
			text += ": " + o.Statement
		}
		out = append(out, lines.Sentence(text))
	}
	return strings.Join(out, " ")
}

// came is an outcome, as examples write it, in words: with evidence, limit and state it
// is indeterminate, for these reasons.
func came(outcome string) string {
	switch verdict.Because(outcome) {
	case verdict.Evidence:
		return "could not be judged for want of evidence"
	case verdict.Limit:
		return "could not be judged, being too close to the limit"
	case verdict.State:
		return "could not be judged for a reason that stands in the record"
	}
	return "is " + outcome
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
