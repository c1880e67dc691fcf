package lines

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// formula are the characters that a spreadsheet takes for the beginning of a
// formula, in their wide forms too, which East Asian ones take for the same. Tab
// and carriage return, which are passed over before one, never get into a cell.
const formula = "=+-@\uff1d\uff0b\uff0d\uff20"

// Cell is a text that no spreadsheet evaluates.
func Cell(text string) string {
	text = Plain(text)
	if !strings.ContainsAny(text, formula) {
		return text
	}
	parts := strings.Split(text, ";")
	for i, part := range parts {
		inner := strings.TrimLeftFunc(part, func(r rune) bool { return unicode.IsSpace(r) || r == '"' })
		first, _ := utf8.DecodeRuneInString(inner)
		if inner != "" && strings.ContainsRune(formula, first) {
			blanks := part[:len(part)-len(inner)]
			parts[i] = blanks + "'" + inner
		}
	}
	return strings.Join(parts, ";")
}
