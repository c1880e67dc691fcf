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
			b.WriteString("# " + escaped(block.text) + "\n")
		case heading, name:
			b.WriteString("## " + escaped(block.text) + "\n")
		case paragraph:
			b.WriteString(escaped(block.text) + "\n")
		case items:
			for _, item := range block.items {
				b.WriteString("- " + escaped(item) + "\n")
			}
		case pairs, definitions:
			for _, pair := range block.pairs {
				b.WriteString(strings.TrimSuffix("- **"+escaped(pair[0])+"**: "+escaped(pair[1]), ": ") + "\n")
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
		b.WriteString(" " + escaped(cell) + " |")
	}
	b.WriteByte('\n')
}

// markup are the characters that mean something within a line of Markdown.
var markup = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", `\<`, ">", `\>`, "|", `\|`, "#", `\#`)

func escaped(s string) string {
	return markup.Replace(strings.Join(strings.Fields(lines.Plain(s)), " "))
}
