package ruleset

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Problem is one thing wrong with a release.
type Problem struct {
	File    string // slash-separated path inside the release; "" for the release as a whole
	Line    int    // 1-based; 0 where the problem has no place in the file
	Column  int    // 1-based, in characters; 0 where only the line is known
	Message string // a plain sentence: what is wrong
	Mend    string // what would mend it; may be empty
}

// String gives the problem on one line, the mend on a line of its own.
func (p Problem) String() string {
	var b strings.Builder
	if p.File != "" {
		b.WriteString(p.File)
		b.WriteString(": ")
	}
	if p.Line > 0 {
		fmt.Fprintf(&b, "line %d", p.Line)
		if p.Column > 0 {
			fmt.Fprintf(&b, ", column %d", p.Column)
		}
		b.WriteString(": ")
	}
	b.WriteString(p.Message)
	if p.Mend != "" {
		b.WriteString("\n    mend: ")
		b.WriteString(p.Mend)
	}
	return b.String()
}

// Problems are all the problems found in one release, ordered by file and
// place. It is the error that [Load] returns.
type Problems []Problem

// Error lists every problem, one after the other.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}

// sorted orders the problems by place and drops repeated ones: the same fault
// is sometimes seen by two checks.
func (ps Problems) sorted() Problems {
	out := slices.Clone(ps)
	slices.SortStableFunc(out, func(a, b Problem) int {
		return cmp.Or(
			cmp.Compare(a.File, b.File),
			cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column),
			cmp.Compare(a.Message, b.Message),
		)
	})
	return slices.Compact(out)
}
