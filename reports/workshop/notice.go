package workshop

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/compare"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// Notice puts the difference on a page to be sent to those who work by the rules.
func (d Difference) Notice(p *Page) {
	p.Title("Change notice: rules " + d.New.Name)
	from := d.New.From
	if from == "" {
		from = "no day set yet"
	}
	what := d.New.Note
	if d.New.State == ruleset.Draft && strings.HasPrefix(what, "drafted from ") {
		what = "" // nobody wrote it yet
	}
	p.Pairs(
		[2]string{"From", d.Old.Name + inForce(d.Old)},
		[2]string{"To", d.New.Name},
		[2]string{"In force from", from},
		[2]string{"What changed", what},
		[2]string{"Why", d.New.Reason},
		[2]string{"Size of the change", sizes[d.Level]},
	)
	p.Heading("What changes for the technician")
	if list := d.plain(); len(list) > 0 {
		p.Items(list...)
	} else {
		p.Paragraph("Nothing: no question, limit or step is another.")
	}
	if len(d.Limits) > 0 {
		p.Heading("Limits")
		p.Table([]string{"limit", "was", "is", "what it is"}, d.limitRows())
	}
	d.rulesByArea(p)
	d.visitBlocks(p)
	p.Heading("What to do")
	p.Items(d.toDo()...)
	p.Heading("What this rests on")
	p.Items(d.tried()...)
	p.Paragraph("This notice takes nothing back that a local code or a maker's manual asks for; where they ask for more, they hold. The work is for qualified people.")
}

var sizes = map[compare.Level]string{
	compare.None:  "none: no question and no wording is another",
	compare.Patch: "patch: another wording; no question is another",
	compare.Minor: "minor: nothing was found that turns an accepted visit, or a machine that may be used, into one that is not",
	compare.Major: "major: a visit that was accepted may not be, or a machine may not be in the same state",
}

func inForce(e compare.Edition) string {
	if e.State == ruleset.Released {
		return ", in force from " + e.From
	}
	return ""
}

// plain says in whole sentences what is asked otherwise.
func (d Difference) plain() []string {
	var out []string
	for _, r := range d.Added {
		out = append(out, fmt.Sprintf("New (%s): %s If not: %s", r.Severity, lines.Sentence(r.Title), lines.Sentence(r.Remedy)))
	}
	for _, r := range d.Dropped {
		out = append(out, "No longer asked: "+lines.Sentence(r.Title))
	}
	for _, item := range d.Limits {
		if text := limitSentence(item); text != "" {
			out = append(out, text)
		}
	}
	for _, item := range d.Steps {
		switch item.Change {
		case compare.Added:
			out = append(out, "New step: "+lines.Sentence(item.Title))
		case compare.Dropped:
			out = append(out, "No longer a step: "+lines.Sentence(item.Title))
		case compare.Changed:
			if text := said(item.Fields, stepWords); text != "" {
				out = append(out, "Step, "+lines.Sentence(item.Title+": "+text))
			}
		}
	}
	for _, item := range d.Classes {
		switch item.Change {
		case compare.Added:
			out = append(out, "New class of machine: "+lines.Sentence(item.Title))
		case compare.Dropped:
			out = append(out, "No longer a class of machine: "+lines.Sentence(item.Title))
		case compare.Changed:
			out = append(out, "For "+lines.Sentence(item.Title+": "+said(item.Fields, classWords)))
		}
	}
	for _, item := range d.Units {
		if item.Change != compare.Wording {
			out = append(out, "Unit "+item.Name+": "+lines.Sentence(item.Change))
		}
	}
	for _, r := range d.Changed {
		if text := ruleSentence(r); text != "" {
			out = append(out, text)
		}
	}
	return out
}

// limitSentence says of a limit what it was and is; empty where only its wording
// differs.
func limitSentence(item compare.Item) string {
	switch item.Change {
	case compare.Wording:
		return ""
	case compare.Dropped:
		return "No longer a limit: " + lines.Sentence(item.Title)
	case compare.Added:
		return "New limit: " + lines.Sentence(item.Title+", "+fieldValues(item, func(f compare.Field) string { return f.New }))
	}
	return lines.Sentence(fmt.Sprintf("%s: now %s; it was %s", item.Title,
		fieldValues(item, func(f compare.Field) string { return f.New }), fieldValues(item, func(f compare.Field) string { return f.Old })))
}

// readAloud is how the numbers of a limit are read aloud.
var readAloud = map[string]string{"min": "at least ", "max": "at most ", "place": "to the place ", "decided": "decided ", "unit": "in ", "least_kind": "an instrument that is "}

// fieldValues reads the values of a limit aloud, old or new.
func fieldValues(item compare.Item, of func(compare.Field) string) string {
	var parts []string
	for _, f := range item.Fields {
		before, known := readAloud[f.Field]
		if !known || item.Change == compare.Added && f.Field != "min" && f.Field != "max" {
			continue
		}
		value := of(f)
		switch {
		case value == "":
			parts = append(parts, "without a "+f.Field)
			continue
		case (f.Field == "min" || f.Field == "max") && item.Unit != "":
			value += " " + item.Unit
		}
		parts = append(parts, before+value)
	}
	return strings.Join(parts, ", ")
}

func fieldList(fields []compare.Field) string {
	var parts []string
	for _, f := range fields {
		switch {
		case f.Old == "":
			parts = append(parts, f.Field+" has "+f.New+" now")
		case f.New == "":
			parts = append(parts, f.Field+" no longer has "+f.Old)
		default:
			parts = append(parts, f.Field+" is "+f.New+", it was "+f.Old)
		}
	}
	return strings.Join(parts, "; ")
}

// said puts fields that differ into the words of those who work by them.
func said(fields []compare.Field, in func(compare.Field) string) string {
	var parts []string
	for _, f := range fields {
		if text := in(f); text != "" {
			parts = append(parts, text)
		}
	}
	return strings.Join(parts, "; ")
}

// stepWords says what differs of a step; nothing of what is for pages alone.
func stepWords(f compare.Field) string {
	is, was := spaced(f.New), spaced(f.Old)
	switch f.Field {
	case "severity":
		return "left defective it counts as " + is + " now, it was " + was
	case "power":
		return "done with the power " + is + " now, it was " + was
	case "may_skip":
		if is != "" {
			return "may be left undone now for the reason " + is
		}
		return "may no longer be left undone for the reason " + was
	case "title":
		return "it was called " + was
	}
	return ""
}

// pairOfSteps is how a pair of the order of work is written.
var pairOfSteps = regexp.MustCompile(`^\{after: (.+), before: (.+)\}$`)

// classWords says what differs of a class.
func classWords(f compare.Field) string {
	switch {
	case strings.HasPrefix(f.Field, "requires") && strings.HasSuffix(f.Field, ".steps"):
		if f.New != "" {
			return "the step " + f.New + " must be done now"
		}
		return "the step " + f.Old + " need no longer be done"
	case f.Field == "precedence":
		if m := pairOfSteps.FindStringSubmatch(f.New + f.Old); m != nil {
			if f.New != "" {
				return m[2] + " comes before " + m[1] + " now"
			}
			return m[2] + " need no longer come before " + m[1]
		}
	}
	f.Field = spokenPath(f.Field)
	return fieldList([]compare.Field{f})
}

// spokenPath is a place in a class in words: charger.rated_current is the rated current of
// the charger.
func spokenPath(path string) string {
	parts := strings.Split(indexes.ReplaceAllString(path, ""), ".")
	slices.Reverse(parts)
	for i, p := range parts {
		parts[i] = spaced(p)
	}
	return strings.Join(parts, " of the ")
}

// indexes are the places in lists.
var indexes = regexp.MustCompile(`\[\d+\]`)

// spaced is a word of the files as it is spoken.
func spaced(word string) string { return strings.NewReplacer("-", " ", "_", " ").Replace(word) }

// ruleSentence says of a rule how it differs itself; empty where it does not.
func ruleSentence(r compare.RuleChange) string {
	var parts []string
	for _, f := range r.Fields {
		switch f.Field {
		case "severity":
			parts = append(parts, "counts as "+f.New+" now, it was "+f.Old)
		case "concession":
			parts = append(parts, "a concession: "+f.New+" now, it was "+f.Old)
		case "who":
			parts = append(parts, "for the "+f.New+" now, it was the "+f.Old)
		case "remedy":
			parts = append(parts, "what to do now: "+f.New)
		}
	}
	if slices.Contains(r.Kinds, compare.KindLogic) {
		parts = append(parts, "it is asked in another way")
	}
	if len(parts) == 0 {
		return ""
	}
	return lines.Sentence(r.Title + ": " + strings.Join(parts, "; "))
}

func (d Difference) limitRows() [][]string {
	var rows [][]string
	for _, item := range d.Limits {
		was := fieldValues(item, func(f compare.Field) string { return f.Old })
		is := fieldValues(item, func(f compare.Field) string { return f.New })
		switch item.Change {
		case compare.Added:
			was = "none"
		case compare.Dropped:
			is = "none"
		case compare.Wording:
			was, is = "as it is", "another wording alone"
		}
		rows = append(rows, []string{item.Name, was, is, item.Title})
	}
	return rows
}

// rulesByArea is a table for each area in which a rule differs.
func (d Difference) rulesByArea(p *Page) {
	rows := d.ruleRows()
	slices.SortFunc(rows, func(a, b []string) int { return cmp.Compare(a[0], b[0]) })
	for len(rows) > 0 {
		concern, rest, _ := strings.Cut(rows[0][0], ".")
		name, _, _ := strings.Cut(rest, ".")
		area := concern + "." + name + "."
		var table [][]string
		for len(rows) > 0 && strings.HasPrefix(rows[0][0], area) {
			table = append(table, []string{rows[0][0][len(area):], rows[0][1]})
			rows = rows[1:]
		}
		p.Heading("Rules: " + concern + ", " + name)
		p.Table([]string{"rule", "what differs"}, table)
	}
}

// toDo says what the change asks of those who get the notice.
func (d Difference) toDo() []string {
	day := "the day it comes into force"
	if d.New.From != "" {
		day = d.New.From
	}
	out := []string{
		fmt.Sprintf("Visits that start on %s or later are judged by %s; those before stay with the release of their day.", day, d.New.Name),
	}
	if len(d.plain()) > 0 {
		out = append(out, "Tell the technicians before that day what changes for them; where a question, limit or step is new, show it at the machine.")
	}
	if len(d.Steps) > 0 || len(d.Classes) > 0 || len(d.Units) > 0 {
		out = append(out, "See that forms and devices that write records know the steps, classes and units of "+d.New.Name+".")
	}
	if d.Level == compare.Major {
		out = append(out, "Look at the machines with open follow-ups first: what was accepted or serviceable may not be by the new rules.")
	}
	return append(out, fmt.Sprintf("Concessions name the release they are for: those granted for %s do not hold under %s. Grant anew what is still to stand.", d.Old.Name, d.New.Name))
}
