package workshop

import (
	"strings"

	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// markdown lays the page out as Markdown. What is text stays text: characters that
// Markdown would take for markup are escaped.
func (p *Page) markdown() []byte {
	var b strings.Builder
	for i, block := range p.blocks {
		if i > 0 {
			b.WriteByte('\n')
		}
		switch block.kind {
		case title:
			b.WriteString("# " + lines.Markdown(block.text) + "\n")
		case heading, name:
			b.WriteString("## " + lines.Markdown(block.text) + "\n")
		case paragraph:
			b.WriteString(lines.Markdown(block.text) + "\n")
		case items:
			for _, item := range block.items {
				b.WriteString("- " + lines.Markdown(item) + "\n")
			}
		case pairs, definitions:
			for _, pair := range block.pairs {
				b.WriteString(strings.TrimSuffix("- **"+lines.Markdown(pair[0])+"**: "+lines.Markdown(pair[1]), ": ") + "\n")
			}
		case table:
			markdownRow(&b, block.head)
			b.WriteString("|" + strings.Repeat(" --- |", len(block.head)) + "\n")
			for _, row := range block.rows {
				markdownRow(&b, row)
			}
		case verbatim:
			for line := range strings.Lines(block.text) {
				b.WriteString("    " + lines.Plain(strings.TrimSuffix(line, "\n")) + "\n")
			}
		}
	}
	return []byte(b.String())
}

func markdownRow(b *strings.Builder, cells []string) {
	b.WriteByte('|')
	for _, cell := range cells {
		b.WriteString(" " + lines.Markdown(cell) + " |")
	}
	b.WriteByte('\n')
}
