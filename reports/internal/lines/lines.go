// Package lines lays out text for people: lines of at most [Width] characters,
// sentences, counted nouns, and nothing that a terminal would obey.
package lines

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Width is the width of a line in characters. Only a word that is longer, a
// digest or a pointer say, goes past it. Every character counts as one column;
// that is not so for East Asian and combining ones, whose lines come out
// shorter or longer.
const Width = 80

// Wrap breaks text into lines, the first after first, the others after rest.
func Wrap(b *strings.Builder, first, rest, text string) {
	b.WriteString(first)
	column := utf8.RuneCountInString(first)
	fresh := true
	for word := range strings.FieldsSeq(Plain(text)) {
		n := utf8.RuneCountInString(word)
		switch {
		case fresh:
		case column+1+n > Width:
			b.WriteString("\n" + rest)
			column = utf8.RuneCountInString(rest)
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += n
		fresh = false
	}
	b.WriteByte('\n')
}

// Plain makes visible what would not be printed but obeyed: control characters,
// and those that turn the direction of writing. A record could otherwise rewrite
// a terminal, and so the report.
func Plain(s string) string {
	if strings.IndexFunc(s, obeyed) < 0 {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\n' || r == '\t':
			b.WriteByte(' ')
		case obeyed(r):
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

func obeyed(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)
}

// Count is a number with its noun, in the plural where it needs one.
func Count(n int, noun, plural string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %s", n, plural)
}

// Sentence begins with a capital letter and ends in a full stop.
func Sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return s
	}
	first, size := utf8.DecodeRuneInString(s)
	s = string(unicode.ToUpper(first)) + s[size:]
	if last := s[len(s)-1]; last != '.' && last != '?' && last != '!' {
		s += "."
	}
	return s
}

// Opening is the first sentence of a text.
func Opening(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	for i := 0; i+2 < len(text); i++ {
		if text[i] == '.' && text[i+1] == ' ' {
			if next, _ := utf8.DecodeRuneInString(text[i+2:]); unicode.IsUpper(next) {
				return text[:i+1]
			}
		}
	}
	return text
}
