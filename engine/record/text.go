package record

import (
	"encoding/json"
	"strconv"
	"strings"
	"unicode"
)

// longestShown is how many characters of a value a message repeats.
const longestShown = 60

// clipped returns the text, or its start and an ellipsis if it is long.
func clipped(text string) string {
	n := 0
	for i := range text {
		if n == longestShown {
			return text[:i] + "…"
		}
		n++
	}
	return text
}

// quoted returns the text in quotes, clipped, with what cannot be printed
// escaped.
func quoted(text string) string {
	return strconv.Quote(clipped(text))
}

// printable returns the text with what a terminal could take for a command
// escaped: a record may come from anywhere.
func printable(text string) string {
	if strings.IndexFunc(text, func(r rune) bool { return !unicode.IsPrint(r) }) < 0 {
		return text
	}
	q := strconv.Quote(text)
	return strings.NewReplacer(`\"`, `"`, `\\`, `\`).Replace(q[1 : len(q)-1])
}

// shown returns a value as a message repeats it.
func shown(v any) string {
	switch v := v.(type) {
	case nil:
		return "null"
	case string:
		return quoted(v)
	case json.Number:
		return clipped(v.String())
	case bool:
		return strconv.FormatBool(v)
	case []any:
		return "an array"
	default:
		return "an object"
	}
}
