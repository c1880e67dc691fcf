package record

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"
)

// unreadable tells, before any token is read, whether the bytes are no JSON
// text at all.
func unreadable(data []byte) (flaw, bool) {
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return flaw{message: "the record is empty", mend: "hand in a JSON object that is a record"}, true
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

// syntaxSentence says what is wrong near the offset where the tokenizer
// stopped, what would mend it, and where exactly it starts.
func syntaxSentence(data []byte, offset int) (at int, message, mend string) {
	at = min(offset, len(data))
	rest := data[at:]
	if len(bytes.TrimSpace(rest)) == 0 {
		return at, "the record ends in the middle",
			"hand it in whole, with every bracket closed; one with line breaks in it goes into a file whose name ends in .json"
	}
	r, _ := utf8.DecodeRune(rest)
	before := bytes.TrimRight(data[:at], blanks)
	if start := bytes.TrimLeft(data, blanks); isForeign(start) {
		line, _, _ := bytes.Cut(start, []byte("\n"))
		return len(data) - len(start), "the record is no JSON: it starts with " + quoted(string(line)),
			"hand in a JSON object that is a record"
	}
	if isLetter(rest[0]) {
		return bareWord(data, at)
	}
	after := bytes.TrimLeft(rest[1:], blanks)
	ends := func(with string) bool { return bytes.HasSuffix(before, []byte(with)) }
	digit := r >= '0' && r <= '9'
	switch {
	case surrogate.Match(rest):
		message, mend = "half of a surrogate pair stands alone: "+string(rest[:min(len(`\ud800`), len(rest))]),
			"write the character itself, in UTF-8"
	case r == '\\':
		message, mend = "there is no such escape in JSON: "+printable(string(escape.Find(rest))), `write \\ for a backslash`
	case r < ' ':
		message, mend = fmt.Sprintf("a text holds the control character %U", r), `write \n for a line break, \t for a tab`
	case strings.ContainsRune("'‘’“”`", r):
		message, mend = "a text does not start with a straight double quote", `write "…"`
	case r == '/' || r == '#':
		message, mend = "JSON has no comments", `take it out, or write it as a "note"`
	case r == ',' && len(after) > 0 && (after[0] == ']' || after[0] == '}'):
		message, mend = "a comma stands before a closing bracket", "take the comma out"
	case r == '+':
		message, mend = "a number starts with a plus sign", "leave the plus sign out"
	case r == '.':
		message, mend = "a number starts with a point", "write a digit before the point, as in 0.5"
	case ends("."):
		message, mend = "a number ends with a point", "write a digit after the point, or leave it out"
	case digit && ends("0"):
		at = len(before) - 1
		message, mend = "a number starts with a zero that is followed by another digit", "leave the zeros in front out"
	case ends("-"):
		message, mend = "a minus sign stands without a number", "write the number after it"
	case at > 0 && isDigit(data[at-1]) && !strings.ContainsRune("[]{},:\"", r):
		message, mend = fmt.Sprintf("the character %q does not belong into a number", r), "write its digits alone"
	case digit && ends(",") && len(before) > 1 && isDigit(before[len(before)-2]):
		message, mend = "a number is written with a comma", "write a point in its place, and nothing between thousands"
	case (digit || strings.ContainsRune(`"{[-`, r)) && !ends(",") && !ends(":") && !ends("{") && !ends("["):
		message, mend = "a comma or colon is missing before this", "add it"
	default:
		message, mend = fmt.Sprintf("the character %q does not belong here", r), "look for a comma, quote or bracket that is missing just before"
	}
	return at, message, mend
}

// isForeign tells whether a text that is not empty starts with nothing that
// somebody who meant to write JSON would start with.
func isForeign(text []byte) bool {
	return !bytes.ContainsAny(text[:1], "{[\"'/#-") && !isDigit(text[0])
}

// bareWord is syntaxSentence for a word that stands outside quotes, of which
// the tokenizer may have read the first letters.
func bareWord(data []byte, at int) (start int, message, mend string) {
	end := at
	for end < len(data) && isLetter(data[end]) {
		end++
	}
	if at > 0 && (isDigit(data[at-1]) || data[at-1] == '.') {
		return at, "letters follow a number: " + clipped(string(data[at:end])), "write the number alone, in decimals; a unit goes into a field of its own"
	}
	for at > 0 && isLetter(data[at-1]) {
		at--
	}
	if at > 0 && (data[at-1] == '-' || data[at-1] == '+') {
		at--
	}
	word := string(data[at:end])
	message = "there is no such word in JSON: " + clipped(word)
	switch strings.ToLower(strings.Trim(word, "+-")) {
	case "nan", "inf", "infinity":
		message = "there is no such number in JSON: " + word
		mend = "say why the reading could not be had, as not_obtained with a reason"
	case "none", "nil", "undefined", "null":
		mend = "leave the field out, or state what was not done"
	case "true", "false":
		mend = "write " + strings.ToLower(word)
	case "yes", "no":
		mend = "write true or false"
	default:
		mend = "texts and names of fields stand in double quotes"
	}
	return at, message, mend
}

var (
	surrogate = regexp.MustCompile(`^\\u[dD][89a-fA-F][0-9a-fA-F]{2}`)
	escape    = regexp.MustCompile(`^\\(u[0-9a-fA-F]{0,4}|[^u]|$)`)
)

const blanks = " \t\r\n"

func isLetter(b byte) bool { return b|0x20 >= 'a' && b|0x20 <= 'z' }

func isDigit(b byte) bool { return b >= '0' && b <= '9' }
