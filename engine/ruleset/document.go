package ruleset

import (
	"encoding/json"
	"strconv"
	"strings"
)

// document is one data file of a release, with the place of everything in it.
type document struct {
	file  string
	value any              // map[string]any, []any, string, json.Number, bool or nil
	at    map[string]place // by JSON pointer: where the value begins
	keys  map[string]place // by JSON pointer of a member: where its name stands
}

type place struct{ line, column int }

func newDocument(file string) *document {
	return &document{file: file, at: map[string]place{}, keys: map[string]place{}}
}

// problem places a problem at a JSON pointer: at the name of a member where it
// has one, for that is what a reader looks for, else at the value.
func (d *document) problem(pointer, message, mend string) Problem {
	p, ok := d.keys[pointer]
	for !ok {
		if p, ok = d.at[pointer]; ok || pointer == "" {
			break
		}
		pointer = pointer[:strings.LastIndexByte(pointer, '/')]
		p, ok = d.keys[pointer]
	}
	return Problem{File: d.file, Line: p.line, Column: p.column, Message: message, Mend: mend}
}

// valueProblem places a problem at the value itself.
func (d *document) valueProblem(pointer, message, mend string) Problem {
	if p, ok := d.at[pointer]; ok {
		return Problem{File: d.file, Line: p.line, Column: p.column, Message: message, Mend: mend}
	}
	return d.problem(pointer, message, mend)
}

// find gives the value at a JSON pointer, nil if none is there.
func (d *document) find(pointer string) any {
	v := d.value
	for _, token := range strings.Split(pointer, "/")[1:] {
		switch at := v.(type) {
		case map[string]any:
			v = at[pointerNames.Replace(token)]
		case []any:
			i, err := strconv.Atoi(token)
			if err != nil || i < 0 || i >= len(at) {
				return nil
			}
			v = at[i]
		default:
			return nil
		}
	}
	return v
}

// escapePointer writes a member name as a token of a JSON pointer (RFC 6901).
func escapePointer(name string) string { return pointerEscapes.Replace(name) }

var (
	pointerEscapes = strings.NewReplacer("~", "~0", "/", "~1")
	pointerNames   = strings.NewReplacer("~1", "/", "~0", "~") // and back
)

func childPointer(pointer string, token any) string {
	switch t := token.(type) {
	case int:
		return pointer + "/" + strconv.Itoa(t)
	case string:
		return pointer + "/" + escapePointer(t)
	}
	panic("a pointer token is a name or an index")
}

// A decimal makes a passage through a 64-bit binary float in other readers of a
// release, and 15 significant digits survive that; a whole number makes one
// through a 64-bit integer.
const (
	maxSignificant = 15
	maxWholeDigits = 18
)

// plainNumber says what is wrong with a number as written, "" if nothing is.
// Every reader of a release must take it for the same value, so only plain
// decimal notation is allowed.
func plainNumber(text string) string {
	if !json.Valid([]byte(text)) {
		return "the number " + strconv.Quote(text) + " is not in plain decimal notation"
	}
	if strings.ContainsAny(text, "eE") {
		return "the number " + text + " is written with an exponent"
	}
	digits := strings.TrimLeft(strings.NewReplacer("-", "", ".", "").Replace(text), "0")
	most := maxWholeDigits
	if strings.Contains(text, ".") {
		most = maxSignificant
	}
	if len(digits) > most {
		return "the number " + text + " has more than " + strconv.Itoa(most) + " significant digits"
	}
	return ""
}
