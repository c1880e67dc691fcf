package record

import (
	"bytes"
	"sync"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"
)

// A place is where a value stands, in bytes from the start of the record. Of a
// member of an object, name is where its name starts; else it equals value.
type place struct{ name, value int }

// places maps the JSON pointer of every value of a record to its place.
type places map[string]place

// Places returns a function that tells in which line and column the value at a
// JSON pointer starts, as [Problem] counts them, or false where there is none.
// Data are the bytes of a record that starts on firstLine; they are looked
// through once.
func Places(data []byte, firstLine int) func(pointer string) (line, column int, ok bool) {
	found := sync.OnceValue(func() places { return locate(data) })
	return func(pointer string) (line, column int, ok bool) {
		at, ok := found()[pointer]
		if !ok {
			return 0, 0, false
		}
		line, column = lineColumn(data, firstLine, at.value)
		return line, column, true
	}
}

// locate finds the place of every value, up to the first error of syntax. It is
// a pass of its own over the bytes, made only for records with problems and for
// those whose findings are shown; the places of all others are never needed.
func locate(data []byte) places {
	found := make(places)
	dec := newTokens(data)
	name := -1
	for {
		start := tokenStart(data, dec)
		if _, err := dec.ReadToken(); err != nil {
			return found
		}
		if start >= len(data) {
			return found
		}
		if data[start] == '}' || data[start] == ']' {
			continue
		}
		if kind, n := dec.StackIndex(dec.StackDepth()); kind == '{' && n%2 == 1 {
			name = start
			continue
		}
		at := place{name: start, value: start}
		if name >= 0 {
			at.name, name = name, -1
		}
		pointer := string(dec.StackPointer())
		if _, twice := found[pointer]; !twice { // of a field given twice the first counts
			found[pointer] = at
		}
	}
}

// newTokens returns a tokenizer that is strict about UTF-8 and escapes. Names
// given twice are let through, so that all of them can be reported at once.
func newTokens(data []byte) *jsontext.Decoder {
	return jsontext.NewDecoder(bytes.NewBuffer(data),
		jsontext.AllowDuplicateNames(true), jsontext.AllowInvalidUTF8(false))
}

// tokenStart returns where the next token starts, or the length of the data.
func tokenStart(data []byte, dec *jsontext.Decoder) int {
	i := int(dec.InputOffset())
	for i < len(data) {
		switch data[i] {
		case ' ', '\t', '\r', '\n', ',', ':':
			i++
		default:
			return i
		}
	}
	return i
}

// lineColumn returns the line and column, both from 1, of an offset in bytes;
// firstLine is the number of the first line.
func lineColumn(data []byte, firstLine, offset int) (line, column int) {
	before := data[:min(offset, len(data))]
	start := bytes.LastIndexByte(before, '\n') + 1
	return firstLine + bytes.Count(before, []byte{'\n'}), utf8.RuneCount(before[start:]) + 1
}
