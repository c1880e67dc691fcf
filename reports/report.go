// Package reports turns verdicts into what people and programs read, one format
// a file.
//
// Start at [Report], which all formats keep to. What is worth telling, in which
// order and what it comes to is in the verdicts already; a format only words and
// lays it out. The package reads nothing but its arguments: any report can be
// made again from saved verdicts, without a release.
package reports

import (
	"fmt"
	"io"
	"strings"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Report takes what a run comes to, in input order. Its methods return every
// error of writing.
type Report interface {
	// Visit tells of one judged visit.
	Visit(Visit) error
	// Refused tells of what could not be judged.
	Refused(Refusal) error
	// End tells what it all comes to. Nothing is told after it.
	End(Summary) error
}

// Visit is a verdict and what is at hand of the record it was judged from. Of a
// saved verdict whose record is not at hand, only the verdict is set.
type Visit struct {
	*verdict.Verdict
	// Source is the path of the file the record was read from; empty where the
	// record is not at hand, or came in on standard input.
	Source string
	// Place says in which line and column (from 1, in characters) of Source the
	// value at a JSON pointer starts, false where there is no such value. Nil
	// where the record is not at hand.
	Place func(pointer string) (line, column int, ok bool)
	// Sheet is what a page shows besides the verdict; nil where it is not at hand.
	Sheet *sheet.Sheet
}

// place is where in its file the value stands that an outcome turns on. Of a value
// that is not there, it is where the innermost one stands that should hold it.
func place(v Visit, o verdict.Outcome) (line, column int, ok bool) {
	if v.Place == nil || o.Pointer == "" {
		return 0, 0, false
	}
	for pointer := o.Pointer; ; {
		if line, column, ok = v.Place(pointer); ok {
			return line, column, true
		}
		end := strings.LastIndexByte(pointer, '/')
		if end < 0 {
			return 0, 0, false
		}
		pointer = pointer[:end]
	}
}

// Refusal is one record, or one source of records, that could not be judged,
// and why.
type Refusal struct {
	// Earlier is true where it was to be compared with only.
	Earlier bool
	// Saved is true where it was handed in as a saved verdict.
	Saved bool
	// Problems are in the order of the source, at least one.
	Problems []Problem
}

// Stdin is what the source of a [Problem] is called that lies in standard input,
// and so in no file.
const Stdin = "standard input"

// Problem is one thing wrong with a record.
type Problem struct {
	// Source is the path it was read from, or [Stdin].
	Source string
	// Line and Column count from 1, Column in characters; zero where unknown.
	Line, Column int
	// Pointer is the JSON pointer of the value; empty for the record as a whole.
	Pointer string
	// Message says what is wrong, Mend what would put it right; neither ends in
	// a full stop.
	Message, Mend string
}

// Summary is what a run comes to.
type Summary struct {
	// Tally counts the verdicts.
	Tally verdict.Tally
	// Refused counts the records that could not be judged.
	Refused int
	// RefusedEarlier counts those to compare with that could not be read.
	RefusedEarlier int
	// RefusedSaved counts what was handed in as a saved verdict and is none.
	RefusedSaved int
	// Stopped says in a few words why the run ended before its input did; empty
	// if it did not.
	Stopped string
}

// whole reports whether nothing was left unjudged or unread.
func (s Summary) whole() bool {
	return s.Refused == 0 && s.RefusedEarlier == 0 && s.RefusedSaved == 0 && s.Stopped == ""
}

// words tells, apart from a report that a program reads, what that has no place
// for: the problems of what was refused, and the summary.
type words struct{ out io.Writer }

func (w words) refused(r Refusal) error { return write(w.out, "problems", refusal(r)) }

func (w words) end(s Summary) error { return write(w.out, "summary", summary(s)) }

// write writes one piece of a report.
func write(to io.Writer, what, text string) error {
	if _, err := io.WriteString(to, text); err != nil {
		return fmt.Errorf("writing %s: %w", what, err)
	}
	return nil
}
