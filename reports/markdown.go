package reports

import (
	"fmt"
	"io"
	"strings"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// MarkdownOptions say how much a Markdown report tells. The zero value tells of
// every finding.
type MarkdownOptions struct {
	// All adds every outcome, of those too that need nothing done.
	All bool
}

// Markdown writes a report for a comment or a log of changes, in CommonMark: a
// heading a visit, the answers, and lists of what has to be done. It has lists
// and no tables, for what is found is said in sentences. All that comes from a
// verdict is written so that it is text and nothing else: no link, image, HTML,
// mention or heading comes of it, in the dialects either that make links of bare
// addresses. A word joiner (U+2060) therefore follows each @.
type Markdown struct {
	out      io.Writer
	opt      MarkdownOptions
	cautions []string // of what was told so far, each once
}

var _ Report = (*Markdown)(nil)

// NewMarkdown returns a report in Markdown.
func NewMarkdown(out io.Writer, opt MarkdownOptions) *Markdown { return &Markdown{out: out, opt: opt} }

// Visit writes what a verdict comes to and what needs doing, gravest first.
func (m *Markdown) Visit(visit Visit) error {
	v := visit.Verdict
	var b strings.Builder
	b.WriteString("## " + lines.Markdown(title(v)) + "\n\n")
	item(&b, 0, "visit", acceptance(v.Acceptance))
	item(&b, 0, "machine", serviceability(v))
	for _, mark := range marks(v) {
		item(&b, 1, "", lines.Sentence(mark))
	}
	item(&b, 0, "service", completion(v))
	actions := verdict.Actions(v.Outcomes)
	for i, a := range actions {
		if i == 0 || actions[i-1].Need != a.Need {
			b.WriteString("\n### " + headings[a.Need] + "\n\n")
		}
		m.action(&b, visit, a)
	}
	if len(v.Ignored) > 0 {
		b.WriteString("\n### Concessions that were not applied\n\n")
	}
	for _, ig := range v.Ignored {
		item(&b, 0, ig.ID, lines.Sentence(ig.Why))
	}
	if m.opt.All {
		everyOutcome(&b, v)
	}
	b.WriteString("\nRelease " + lines.Markdown(v.Release.Version) + " " + codeMarkdown(v.Release.Digest) +
		", record " + codeMarkdown(v.Visit.Digest) + "\n\n")
	return write(m.out, "report of visit "+v.Visit.ID, b.String())
}

// Refused writes what is wrong with a record.
func (m *Markdown) Refused(r Refusal) error {
	var b strings.Builder
	b.WriteString("## " + refusedTitle(r) + "\n\n")
	for _, p := range r.Problems {
		place := p.Source
		if p.Line > 0 {
			place = fmt.Sprintf("%s:%d:%d", place, p.Line, p.Column)
		}
		what := p.Message
		if p.Pointer != "" {
			what = p.Pointer + ": " + what
		}
		b.WriteString("- " + codeMarkdown(place) + " " + lines.Markdown(lines.Sentence(what)) + "\n")
		if p.Mend != "" {
			item(&b, 1, "mend", lines.Sentence(p.Mend))
		}
	}
	b.WriteByte('\n')
	return write(m.out, "problems", b.String())
}

// End writes the cautions of what was told, once, and the summary.
func (m *Markdown) End(s Summary) error {
	var b strings.Builder
	if len(m.cautions) > 0 {
		b.WriteString("## Before any of this is done\n\n")
		for _, c := range m.cautions {
			item(&b, 0, "", lines.Sentence(c))
		}
		b.WriteByte('\n')
	}
	b.WriteString("## In all\n")
	for line := range strings.Lines(summary(s)) {
		b.WriteString("\n" + lines.Markdown(lines.Sentence(line)) + "\n")
	}
	return write(m.out, "summary", b.String())
}

// action writes one thing to do.
func (m *Markdown) action(b *strings.Builder, v Visit, a verdict.Action) {
	root := a.Root()
	b.WriteString("- **" + severity(root.Severity) + "** must be: " + lines.Markdown(lines.Sentence(root.Title)) + " " + codeMarkdown(root.Rule) + "\n")
	if statement, ok := alike(a); ok {
		item(b, 1, "", subjects(a)+": "+statement)
		if pointer, others := commonPlace(a); pointer != "" {
			at(b, v, root, others)
		}
		sameMarkdown(b, 2, likewise(a))
	} else {
		for _, f := range a.Findings {
			item(b, 1, "", told(f.Root))
			at(b, v, f.Root, "")
			sameMarkdown(b, 2, f.Same)
		}
	}
	sameMarkdown(b, 1, a.About)
	for _, said := range advice(a) {
		item(b, 1, said.label, said.text)
	}
	m.cautions = remember(m.cautions, a)
}

// at writes where a finding stands.
func at(b *strings.Builder, v Visit, o verdict.Outcome, others string) {
	if o.Pointer == "" {
		return
	}
	b.WriteString("    - at " + codeMarkdown(o.Pointer))
	if line, column, ok := place(v, o); ok && v.Source != "" {
		b.WriteString(" in " + codeMarkdown(fmt.Sprintf("%s:%d:%d", v.Source, line, column)))
	}
	b.WriteString(others + "\n")
}

func sameMarkdown(b *strings.Builder, depth int, outcomes []verdict.Outcome) {
	for _, said := range sameCause(outcomes) {
		item(b, depth, strings.TrimSuffix(said.label, ": "), said.text)
	}
}

// everyOutcome writes every outcome.
func everyOutcome(b *strings.Builder, v *verdict.Verdict) {
	b.WriteString("\n### All outcomes\n\n")
	rule := ""
	for _, o := range v.Outcomes {
		if o.Rule != rule {
			rule = o.Rule
			b.WriteString("- " + lines.Markdown(lines.Sentence(o.Title)) + " " + codeMarkdown(rule) + "\n")
		}
		item(b, 1, "", outcomeSaid(o))
	}
}

// item writes an item of a list, which may be within another.
func item(b *strings.Builder, depth int, label, text string) {
	b.WriteString(strings.Repeat("  ", depth) + "- ")
	if label != "" {
		b.WriteString("**" + lines.Markdown(label) + "** ")
	}
	b.WriteString(lines.Markdown(text) + "\n")
}

// codeMarkdown writes a text as code, in as many backticks as hold it.
func codeMarkdown(text string) string {
	text = strings.Join(strings.Fields(lines.Plain(text)), " ")
	if text == "" {
		return ""
	}
	longest, run := 0, 0
	for _, r := range text {
		if r != '`' {
			run = 0
			continue
		}
		run++
		longest = max(longest, run)
	}
	fence := strings.Repeat("`", longest+1)
	if longest > 0 {
		text = " " + text + " "
	}
	return fence + text + fence
}
