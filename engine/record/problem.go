package record

import (
	"fmt"
	"strings"
)

// A Problem is one thing wrong with one record.
type Problem struct {
	// Source is what the record was read from: a path, or [Stdin].
	Source string

	// Line and Column count from 1, Column in characters (Unicode code points).
	// In a stream Line counts from the start of the stream. Both are zero where
	// the problem lies in no place, as with a file that cannot be opened.
	Line, Column int

	// Pointer is the JSON pointer (RFC 6901) of the value, empty for the record
	// as a whole.
	Pointer string

	// Message says in a plain sentence what is wrong, and Mend what would put it
	// right. Neither ends in a full stop. Values are quoted as they were written.
	Message, Mend string
}

// String returns the problem without its mend, in one line. What cannot be
// printed is escaped.
func (p Problem) String() string {
	var b strings.Builder
	b.WriteString(printable(p.Source))
	if p.Line > 0 {
		fmt.Fprintf(&b, ": line %d, column %d", p.Line, p.Column)
	}
	if p.Pointer != "" {
		b.WriteString(": ")
		b.WriteString(printable(p.Pointer))
	}
	b.WriteString(": ")
	b.WriteString(p.Message)
	return b.String()
}

// Problems is all that is wrong with one record, in the order of the document.
// It is the error of [Decoder.Decode] and of [Item]; it is never empty there.
type Problems []Problem

var _ error = Problems(nil)

// Error returns every problem on a line, each followed by its mend, indented,
// on a line of its own.
func (ps Problems) Error() string {
	var b strings.Builder
	for i, p := range ps {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString("reading ")
		b.WriteString(p.String())
		if p.Mend != "" {
			b.WriteString("\n  ")
			b.WriteString(p.Mend)
		}
	}
	return b.String()
}
