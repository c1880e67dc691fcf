// Package htmlpage has what all HTML pages have in common: the style that stands in each,
// and a guard against characters that are obeyed and not printed.
package htmlpage

import (
	_ "embed" // the style
	"fmt"
	"html/template"
	"strings"
	"unicode"
)

//go:embed style.css
var style string

// Style is plain CSS of ours: no record has a part in it.
func Style() template.CSS { return template.CSS(style) }

// Shown makes visible the characters of a page that are obeyed and not printed, and
// with which a record could turn or rewrite it.
func Shown(s string) string {
	obeyed := func(r rune) bool {
		return r != '\n' && r != '\t' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)
	}
	if strings.IndexFunc(s, obeyed) < 0 {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if obeyed(r) {
			fmt.Fprintf(&b, `\u%04x`, r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}
