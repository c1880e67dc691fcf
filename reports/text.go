package reports

import (
	"io"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// TextOptions say how much a text report tells. The zero value tells of every
// finding, without colour.
type TextOptions struct {
	// All adds every outcome, of those too that need nothing done.
	All bool
	// Places adds file, line and column to the pointer of a finding, where the
	// record is at hand.
	Places bool
	// Color marks words that are there anyway; it never says anything alone.
	Color bool
}

// Text writes a report for people, in lines of at most 80 characters.
type Text struct {
	out      io.Writer
	opt      TextOptions
	cautions []string // of what was told so far, each once
}

var _ Report = (*Text)(nil)

// NewText returns a report in plain text.
func NewText(out io.Writer, opt TextOptions) *Text { return &Text{out: out, opt: opt} }

// Visit writes what a verdict comes to and what needs doing, gravest first.
func (t *Text) Visit(visit Visit) error {
	v := visit.Verdict
	var b strings.Builder
	t.head(&b, v)
	t.actions(&b, visit)
	for _, ig := range v.Ignored {
		lines.Wrap(&b, "\n  ", "    ", "Concession "+ig.ID+" was not applied: "+lines.Sentence(ig.Why))
	}
	if t.opt.All {
		t.outcomes(&b, v)
	}
	foot(&b, v)
	b.WriteByte('\n')
	return write(t.out, "report of visit "+v.Visit.ID, b.String())
}

// Refused writes what is wrong with a record.
func (t *Text) Refused(r Refusal) error {
	return write(t.out, "problems", t.bold(refusedTitle(r)+"\n")+refusal(r)+"\n")
}

// End writes the cautions of what was told, once, and the summary.
func (t *Text) End(s Summary) error {
	var b strings.Builder
	if len(t.cautions) > 0 {
		b.WriteString(t.bold("Before any of this is done") + "\n")
		for _, c := range t.cautions {
			lines.Wrap(&b, "  - ", "    ", lines.Sentence(c))
		}
		b.WriteByte('\n')
	}
	b.WriteString(summary(s))
	return write(t.out, "summary", b.String())
}

// head says what was judged, and the answers.
func (t *Text) head(b *strings.Builder, v *verdict.Verdict) {
	b.WriteString(t.bold(strings.TrimSuffix(wrapped("", "  ", title(v)), "\n")) + "\n")
	kind := v.Visit.Kind
	if v.Visit.Level != "none" {
		kind += ", level " + v.Visit.Level
	}
	lines.Wrap(b, "  kind     ", "           ", kind+", ended as "+v.Visit.EndedAs)
	t.answer(b, "  visit    ", acceptance(v.Acceptance), v.Acceptance.Value == verdict.Accepted)
	t.answer(b, "  machine  ", serviceability(v), v.Serviceability == verdict.Serviceable)
	for _, mark := range marks(v) {
		lines.Wrap(b, "           ", "             ", mark)
	}
	lines.Wrap(b, "  service  ", "           ", completion(v))
}

// answer writes an answer; the first word of one that is not good is marked.
func (t *Text) answer(b *strings.Builder, label, text string, good bool) {
	line := wrapped(label, "           ", text)
	if !good {
		line = t.red(line, len(label))
	}
	b.WriteString(line)
}

// headings of the parts of a visit's report, by need.
var headings = map[verdict.Need]string{
	verdict.PutRight: "To put right",
	verdict.FindOut:  "Could not be judged",
	verdict.Note:     "Notes",
	verdict.Plan:     "Service plan (changes neither answer)",
	verdict.Stands:   "Stands by concession",
}

// actions writes the findings under their headings.
func (t *Text) actions(b *strings.Builder, v Visit) {
	actions := verdict.Actions(v.Outcomes)
	for i, a := range actions {
		if i == 0 || actions[i-1].Need != a.Need {
			b.WriteString("\n  " + t.bold(headings[a.Need]) + "\n")
		}
		t.action(b, v, a)
		t.cautions = remember(t.cautions, a)
	}
}

// outcomes writes every outcome, a line each.
func (t *Text) outcomes(b *strings.Builder, v *verdict.Verdict) {
	b.WriteString("\n  " + t.bold("All outcomes") + "\n")
	rule := ""
	for _, o := range v.Outcomes {
		if o.Rule != rule {
			rule = o.Rule
			lines.Wrap(b, "    ", "      ", rule+": "+o.Title)
		}
		lines.Wrap(b, "      ", "        ", outcomeSaid(o))
	}
}

// foot says by what it was judged and with what it was compared.
func foot(b *strings.Builder, v *verdict.Verdict) {
	b.WriteByte('\n')
	lines.Wrap(b, "  release  ", "           ", v.Release.Version+" "+v.Release.Digest)
	lines.Wrap(b, "  record   ", "           ", v.Visit.Digest)
	for i, e := range v.Earlier {
		same := func(o verdict.Earlier) bool { return o.Visit == e.Visit && o.Digest == e.Digest }
		if slices.ContainsFunc(v.Earlier[:i], same) {
			continue
		}
		var slots []string
		for _, o := range v.Earlier[i:] {
			if same(o) {
				slots = append(slots, slot(o))
			}
		}
		lines.Wrap(b, "  compared ", "           ", "with "+e.Visit+", "+strings.Join(slots, ", ")+": "+e.Digest)
	}
	if v.Received != "" {
		lines.Wrap(b, "  received ", "           ", v.Received)
	}
}

// wrapped is wrap into a string.
func wrapped(first, rest, text string) string {
	var b strings.Builder
	lines.Wrap(&b, first, rest, text)
	return b.String()
}
