package record

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"
)

// unreadable tells, before any token is read, whether the bytes are no JSON
// text at all.
func unreadable(data []byte) (flaw, bool) {
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return flaw{message: "the record is empty", mend: "hand in a JSON object that is a visit record"}, true
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		return flaw{message: "the record starts with a byte order mark", mend: "save it as UTF-8 without a byte order mark"}, true
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")):
		return flaw{message: "the record is UTF-16, not UTF-8", mend: "save it as UTF-8"}, true
	}
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return flaw{offset: i, message: "the record holds a byte of value zero, which no text does", mend: "hand in JSON text in UTF-8, not a binary file"}, true
	}
	if utf8.Valid(data) {
		return flaw{}, false
	}
	i := 0
	for {
		r, size := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && size == 1 {
			return flaw{offset: i, message: fmt.Sprintf("the byte 0x%02x is not UTF-8", data[i]), mend: "save the record as UTF-8"}, true
		}
		i += size
	}
}

// syntaxSentence says what is wrong at an offset where the tokenizer stopped,
// and what would mend it.
func syntaxSentence(data []byte, offset int) (message, mend string) {
	rest := data[min(offset, len(data)):]
	if len(bytes.TrimSpace(rest)) == 0 {
		return "the record ends in the middle",
			"hand it in whole; one with line breaks in it goes into a file whose name ends in .json"
	}
	before := bytes.TrimRight(data[:offset], " \t\r\n")
	r, _ := utf8.DecodeRune(rest)
	switch {
	case hasWord(rest, "NaN"), hasWord(rest, "Infinity"), hasWord(rest, "-Infinity"), hasWord(rest, "+Infinity"):
		return "there is no such number in JSON: " + word(rest),
			"say why the reading could not be had, as not_obtained with a reason"
	case hasWord(rest, "None"), hasWord(rest, "nil"), hasWord(rest, "undefined"), hasWord(rest, "NULL"), hasWord(rest, "Null"):
		return "there is no such word in JSON: " + word(rest),
			"leave the field out, or state what was not done"
	case hasWord(rest, "True"), hasWord(rest, "False"), hasWord(rest, "TRUE"), hasWord(rest, "FALSE"):
		return "there is no such word in JSON: " + word(rest), "write " + strings.ToLower(word(rest))
	case bytes.HasPrefix(rest, []byte(`\u`)):
		return "half of a surrogate pair stands alone: " + string(rest[:min(6, len(rest))]),
			"write the character itself, in UTF-8"
	case rest[0] == '\\':
		return "there is no such escape in JSON: " + string(rest[:min(2, len(rest))]), `write \\ for a backslash`
	case r < ' ':
		return fmt.Sprintf("a text holds the control character %U", r), `write \n for a line break, \t for a tab`
	case r == '\'' || r == '‘' || r == '’' || r == '“' || r == '”':
		return "a text does not start with a straight double quote", `write "…"`
	case r == '/' || r == '#':
		return "JSON has no comments", `take it out, or write it as a "note"`
	case r == ',' && (bytes.HasPrefix(bytes.TrimLeft(rest[1:], " \t\r\n"), []byte("]")) || bytes.HasPrefix(bytes.TrimLeft(rest[1:], " \t\r\n"), []byte("}"))):
		return "a comma stands before a closing bracket", "take the comma out"
	case r == '+':
		return "a number starts with a plus sign", "leave the plus sign out"
	case r == '.':
		return "a number starts with a point", "write a digit before the point, as in 0.5"
	case bytes.HasSuffix(before, []byte(".")):
		return "a number ends with a point", "write a digit after the point, or leave it out"
	case r >= '0' && r <= '9' && (bytes.HasSuffix(before, []byte("0"))):
		return "a number starts with a zero that is followed by another digit", "leave the zeros in front out"
	}
	return fmt.Sprintf("the character %q does not belong here", r), "look for a comma, quote or bracket that is missing just before"
}

// hasWord tells whether the text starts with the word, whole.
func hasWord(text []byte, w string) bool { return word(text) == w }

// word returns the letters that the text starts with, a sign in front included.
func word(text []byte) string {
	n := 0
	for n < len(text) && (text[n]|0x20 >= 'a' && text[n]|0x20 <= 'z' || n == 0 && (text[n] == '-' || text[n] == '+')) {
		n++
	}
	return string(text[:n])
}
