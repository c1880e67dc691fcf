package lines

import (
	"strings"
	"unicode"
)

// Markdown writes a text so that it comes out as itself and as nothing else,
// in the middle of a line or after the mark of an item or heading.
func Markdown(text string) string {
	runes := []rune(strings.Join(strings.Fields(Plain(text)), " "))
	digits := 0
	for digits < len(runes) && unicode.IsDigit(runes[digits]) {
		digits++
	}
	var b strings.Builder
	for i, r := range runes {
		next := ' '
		if i+1 < len(runes) {
			next = runes[i+1]
		}
		switch {
		case strings.ContainsRune("\\`*_{}[]<>|~&!#$^", r):
			b.WriteByte('\\')
		case i == 0 && strings.ContainsRune("+-=", r): // a list in a list, or a rule
			b.WriteByte('\\')
		case i == digits && digits > 0 && (r == '.' || r == ')') && next == ' ': // a numbered list
			b.WriteByte('\\')
		case r == ':' && (next == '/' || next == '+' || next == '-' || unicode.IsLetter(next)): // an address, a picture by name
			b.WriteByte('\\')
		case r == '.' && i >= 3 && strings.EqualFold(string(runes[i-3:i]), "www"): // an address
			b.WriteByte('\\')
		}
		b.WriteRune(r)
		if r == '@' { // an address, somebody's name
			b.WriteRune('\u2060')
		}
	}
	return b.String()
}
