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
func (t *Text) action(b *strings.Builder, a verdict.Action) {
	root := a.Root()
	title := wrapped("  "+severity(root.Severity)+"  ", "    ", "must be: "+root.Title+" ["+root.Rule+"]")
	if root.Severity != verdict.Minor {
		title = t.red(title, len("  "))
	}
	b.WriteString("\n" + title)
	if statement, ok := alike(a); ok {
		findings(b, a, statement)
	} else {
		for _, f := range a.Findings {
			finding(b, f)
		}
	}
	same(b, a.About)
	if root.ConcededBy != "" {
		lines.Wrap(b, "    by     ", "           ", "concession "+root.ConcededBy+"; the finding stays what it is")
	}
	if root.Because == verdict.State {
		return
	}
	if root.Why != "" && a.Need != verdict.Note {
		lines.Wrap(b, "    why    ", "           ", lines.Opening(root.Why))
	}
	// What would mend a fault is no answer to what could not be judged: there
	// the statement says what is needed.
	if root.Remedy != "" && root.Outcome == verdict.Nonconforming {
		lines.Wrap(b, "    do     ", "           ", lines.Sentence(root.Remedy))
	}
	if root.Who != "" {
		lines.Wrap(b, "    who    ", "           ", root.Who)
	}
	if a.Need != verdict.Note && (root.Outcome == verdict.Nonconforming || root.Because == verdict.Limit) {
		for _, line := range limits(a) {
			lines.Wrap(b, "    limit  ", "           ", line)
		}
	}
}

// finding writes what is wrong with one subject.
func finding(b *strings.Builder, f verdict.Finding) {
	told := f.Root.Statement
	if !strings.Contains(strings.ToLower(told), strings.ToLower(f.Root.Subject)) && f.Root.Subject != "visit" {
		told = f.Root.Subject + ": " + told
	}
	lines.Wrap(b, "    - ", "      ", lines.Sentence(told))
	if f.Root.Pointer != "" {
		lines.Wrap(b, "      at ", "         ", f.Root.Pointer)
	}
	same(b, f.Same)
}

// findings writes, in one, what is wrong with several subjects of which the same
// is said.
func findings(b *strings.Builder, a verdict.Action, statement string) {
	var subjects []string
	word := ""
	pointers := 0
	for i, f := range a.Findings {
		// "cell B1.1, B1.2": the word that all begin with stands once.
		first, name, two := strings.Cut(f.Root.Subject, " ")
		if i > 0 && two && first == word {
			subjects = append(subjects, name)
		} else {
			subjects = append(subjects, f.Root.Subject)
		}
		word = first
		if f.Root.Pointer != "" {
			pointers++
		}
	}
	list := strings.Join(subjects, ", ")
	if len(subjects) > few {
		list += fmt.Sprintf(" (%d in all)", len(subjects))
	}
	lines.Wrap(b, "    - ", "      ", list+": "+statement)
	if pointer := a.Root().Pointer; pointer != "" && a.Root().Because != verdict.State {
		if pointers > 1 {
			pointer += ", and likewise for the others"
		}
		lines.Wrap(b, "      at ", "         ", pointer)
	}
	likewise := slices.Clone(a.Findings[0].Same)
	for i := range likewise {
		likewise[i].Statement = each(likewise[i]) // it is said of all, not of the first
	}
	same(b, likewise)
}

// few is how many can be counted at a glance.
const few = 4

// same writes what has the same cause as a finding. What could not be judged for
// it needs nothing of its own, so its title is enough.
func same(b *strings.Builder, outcomes []verdict.Outcome) {
	var open []string
	for _, o := range outcomes {
		if o.Outcome == verdict.Nonconforming {
			lines.Wrap(b, "      same cause: ", "        ", lines.Sentence(o.Statement))
		} else if !slices.Contains(open, o.Title) {
			open = append(open, o.Title)
		}
	}
	if len(open) > 0 {
		lines.Wrap(b, "      same cause, not judged either: ", "        ", strings.Join(open, "; "))
	}
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
