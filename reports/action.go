package reports

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// action writes one thing to do: what is wrong, why it matters, what to do, who
// may, and what it was held to. What could not be judged for a reason that stands
// in the record is told in short: nobody has to find out why.
func (t *Text) action(b *strings.Builder, v Visit, a verdict.Action) {
	root := a.Root()
	title := wrapped("  "+severity(root.Severity)+"  ", "    ", "must be: "+root.Title+" ["+root.Rule+"]")
	if root.Severity != verdict.Minor {
		title = t.red(title, len("  "))
	}
	b.WriteString("\n" + title)
	if statement, ok := alike(a); ok {
		t.findings(b, v, a, statement)
	} else {
		for _, f := range a.Findings {
			t.finding(b, v, f)
		}
	}
	same(b, a.About)
	for _, said := range advice(a) {
		lines.Wrap(b, fmt.Sprintf("    %-7s", said.label), "           ", said.text)
	}
}

// advice is what is to be known of an action besides its findings.
func advice(a verdict.Action) []said {
	root := a.Root()
	var out []said
	if root.ConcededBy != "" {
		out = append(out, said{"by", "concession " + root.ConcededBy + "; the finding stays what it is"})
	}
	if root.Because == verdict.State {
		return out
	}
	if root.Why != "" && a.Need != verdict.Note {
		out = append(out, said{"why", lines.Opening(root.Why)})
	}
	// What would mend a fault is no answer to what could not be judged: there
	// the statement says what is needed.
	if root.Remedy != "" && root.Outcome == verdict.Nonconforming {
		out = append(out, said{"do", lines.Sentence(root.Remedy)})
	}
	if root.Who != "" {
		out = append(out, said{"who", root.Who})
	}
	if a.Need != verdict.Note && (root.Outcome == verdict.Nonconforming || root.Because == verdict.Limit) {
		for _, line := range limits(a) {
			out = append(out, said{"limit", line})
		}
	}
	return out
}

// finding writes what is wrong with one subject.
func (t *Text) finding(b *strings.Builder, v Visit, f verdict.Finding) {
	lines.Wrap(b, "    - ", "      ", told(f.Root))
	if f.Root.Pointer != "" {
		lines.Wrap(b, "      at ", "         ", f.Root.Pointer+t.where(v, f.Root))
	}
	same(b, f.Same)
}

// findings writes, in one, what is wrong with several subjects of which the same
// is said.
func (t *Text) findings(b *strings.Builder, v Visit, a verdict.Action, statement string) {
	lines.Wrap(b, "    - ", "      ", subjects(a)+": "+statement)
	if pointer, others := commonPlace(a); pointer != "" {
		lines.Wrap(b, "      at ", "         ", pointer+t.where(v, a.Root())+others)
	}
	same(b, likewise(a))
}

// subjects lists those of an action's findings.
func subjects(a verdict.Action) string {
	var names []string
	word := ""
	for i, f := range a.Findings {
		// "cell B1.1, B1.2": the word that all begin with stands once.
		first, name, two := strings.Cut(f.Root.Subject, " ")
		if i > 0 && two && first == word {
			names = append(names, name)
		} else {
			names = append(names, f.Root.Subject)
		}
		word = first
	}
	list := strings.Join(names, ", ")
	if len(names) > few {
		list += fmt.Sprintf(" (%d in all)", len(names))
	}
	return list
}

// where is the place in the file of what an outcome turns on, if it is wanted and
// known.
func (t *Text) where(v Visit, o verdict.Outcome) string {
	line, column, ok := place(v, o)
	if !t.opt.Places || !ok || v.Source == "" {
		return ""
	}
	return fmt.Sprintf(" in %s:%d:%d", v.Source, line, column)
}

// commonPlace is the pointer to the first of several findings, and what to say of
// the others; empty where it would be of no use.
func commonPlace(a verdict.Action) (pointer, others string) {
	pointer = a.Root().Pointer
	if pointer == "" || a.Root().Because == verdict.State {
		return "", ""
	}
	if slices.ContainsFunc(a.Findings[1:], func(f verdict.Finding) bool { return f.Root.Pointer != "" }) {
		others = ", and likewise for the others"
	}
	return pointer, others
}

// likewise is what has the same cause as several findings, worded for all of them.
func likewise(a verdict.Action) []verdict.Outcome {
	out := slices.Clone(a.Findings[0].Same)
	for i := range out {
		out[i].Statement = each(out[i]) // it is said of all, not of the first
	}
	return out
}

// few is how many can be counted at a glance.
const few = 4

// same writes what has the same cause as a finding.
func same(b *strings.Builder, outcomes []verdict.Outcome) {
	for _, said := range sameCause(outcomes) {
		lines.Wrap(b, "      "+said.label, "        ", said.text)
	}
}

// said is a text with what it is.
type said struct{ label, text string }

// sameCause says what has the same cause as a finding. What could not be judged
// for it needs nothing of its own, so its title is enough.
func sameCause(outcomes []verdict.Outcome) []said {
	var out []said
	var open []string
	for _, o := range outcomes {
		if o.Outcome == verdict.Nonconforming {
			out = append(out, said{"same cause: ", lines.Sentence(o.Statement)})
		} else if !slices.Contains(open, o.Title) {
			open = append(open, o.Title)
		}
	}
	if len(open) > 0 {
		out = append(out, said{"same cause, not judged either: ", strings.Join(open, "; ")})
	}
	return out
}

// alike is what is said of each of several findings, if it is the same of all
// but for the name of the subject. Of many that could not be judged, what is said
// of the first stands for all: they have rule and reason in common.
func alike(a verdict.Action) (statement string, ok bool) {
	if len(a.Findings) < 2 {
		return "", false
	}
	statement = each(a.Root())
	for _, f := range a.Findings {
		for j, o := range f.Same {
			if o.Outcome == verdict.Nonconforming && each(o) != each(a.Findings[0].Same[j]) {
				return "", false
			}
		}
	}
	for _, f := range a.Findings {
		if each(f.Root) == statement {
			continue
		}
		if f.Root.Outcome == verdict.Nonconforming || len(a.Findings) <= few {
			return "", false
		}
		return "of the first: " + lines.Sentence(a.Root().Statement), true
	}
	return lines.Sentence(statement), true
}

// each is the statement of an outcome with the word each in the place of its
// subject, or without it where the sentence only begins with it.
func each(o verdict.Outcome) string {
	upper := strings.ToUpper(o.Subject[:1]) + o.Subject[1:]
	s := o.Statement
	if rest, ok := strings.CutPrefix(s, upper+": "); ok {
		s = rest
	}
	return replaceName(replaceName(s, upper, "Each"), o.Subject, "each")
}

// replaceName puts a word in the place of a name wherever it stands whole: cell
// B1.1 is not the beginning of cell B1.10.
func replaceName(s, name, word string) string {
	var b strings.Builder
	for {
		before, after, found := strings.Cut(s, name)
		b.WriteString(before)
		if !found {
			return b.String()
		}
		if goesOn(after) {
			b.WriteString(name)
		} else {
			b.WriteString(word)
		}
		s = after
	}
}

// goesOn tells whether a name that ends before the text is only part of a longer
// one. A full stop or a dash is, if a letter or digit follows it.
func goesOn(after string) bool {
	after = strings.TrimLeft(after, "-.")
	r, _ := utf8.DecodeRuneInString(after)
	return unicode.IsLetter(r) || unicode.IsDigit(r)
}

// limits lists the limits that the findings were held to, each once.
func limits(a verdict.Action) []string {
	var out []string
	for _, f := range a.Findings {
		for _, fact := range f.Root.Facts {
			if fact.Limit == "" {
				continue
			}
			line := fact.Limit + " " + fact.Text + " (" + basis(fact) + ")"
			if !slices.Contains(out, line) {
				out = append(out, line)
			}
		}
	}
	return out
}

// basis is where a limit comes from, and how far that goes.
func basis(f verdict.Fact) string {
	switch {
	case strings.HasPrefix(f.Source, f.Mark):
		return f.Source
	case f.Source == "":
		return f.Mark
	}
	return strings.ReplaceAll(f.Mark, "-", " ") + ", " + f.Source
}

// remember adds the cautions of an action to those told at the end, each once.
func remember(cautions []string, a verdict.Action) []string {
	for _, o := range a.Outcomes() {
		for _, c := range o.Cautions {
			if !slices.Contains(cautions, c) {
				cautions = append(cautions, c)
			}
		}
	}
	return cautions
}
