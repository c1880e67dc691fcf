package workshop

import (
	"strings"
	"unicode/utf8"

	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// text lays the page out in lines. Blocks are an empty line apart.
func (p *Page) text() []byte {
	var b strings.Builder
	for i, block := range p.blocks {
		if i > 0 {
			b.WriteByte('\n')
		}
		switch block.kind {
		case title, name, paragraph:
			lines.Wrap(&b, "", "", block.text)
		case heading:
			lines.Wrap(&b, "", "", strings.ToUpper(block.text))
		case items:
			for _, item := range block.items {
				lines.Wrap(&b, "  - ", "    ", item)
			}
		case pairs:
			textPairs(&b, block.pairs)
		case definitions:
			for _, pair := range block.pairs {
				lines.Wrap(&b, "  ", "  ", pair[0])
				if pair[1] != "" {
					lines.Wrap(&b, "      ", "      ", pair[1])
				}
			}
		case table:
			textTable(&b, block.head, block.rows)
		case verbatim:
			for line := range strings.Lines(block.text) {
				b.WriteString("    " + lines.Plain(strings.TrimSuffix(line, "\n")) + "\n")
			}
		}
	}
	return []byte(b.String())
}

// gap is the space between columns.
const gap = 2

func textPairs(b *strings.Builder, list [][2]string) {
	wide := 0
	for _, pair := range list {
		wide = max(wide, utf8.RuneCountInString(lines.Plain(pair[0])))
	}
	rest := strings.Repeat(" ", gap+wide+gap)
	for _, pair := range list {
		lines.Wrap(b, "  "+padded(lines.Plain(pair[0]), wide)+"  ", rest, pair[1])
	}
}

func textTable(b *strings.Builder, head []string, rows [][]string) {
	last := len(head) - 1
	wide := make([]int, last)
	for _, row := range append([][]string{head}, rows...) {
		for i, cell := range row[:last] {
			wide[i] = max(wide[i], utf8.RuneCountInString(lines.Plain(cell)))
		}
	}
	indent := 0
	for _, w := range wide {
		indent += w + gap
	}
	line := func(row []string) {
		var first strings.Builder
		for i, cell := range row[:last] {
			first.WriteString(padded(lines.Plain(cell), wide[i]+gap))
		}
		if row[last] == "" {
			b.WriteString(strings.TrimRight(first.String(), " ") + "\n")
			return
		}
		lines.Wrap(b, first.String(), strings.Repeat(" ", indent), row[last])
	}
	line(head)
	for _, row := range rows {
		line(row)
	}
}

// padded is text with spaces up to a width.
func padded(s string, wide int) string {
	return s + strings.Repeat(" ", max(0, wide-utf8.RuneCountInString(s)))
}
