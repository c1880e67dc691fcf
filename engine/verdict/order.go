package verdict

import (
	"cmp"
	"slices"
	"strings"
)

// SortOutcomes sorts by rule, then by subject in reading order.
func SortOutcomes(outcomes []Outcome) {
	slices.SortFunc(outcomes, func(a, b Outcome) int {
		return cmp.Or(strings.Compare(a.Rule, b.Rule), CompareSubjects(a.Subject, b.Subject))
	})
}

// CompareSubjects orders subjects as a reader expects: runs of digits count as
// whole numbers, so that cell B1.2 stands before cell B1.10. It is a total
// order: two different subjects never compare equal.
func CompareSubjects(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		m, n := digits(x), digits(y)
		if m > 0 && n > 0 {
			p, q := strings.TrimLeft(x[:m], "0"), strings.TrimLeft(y[:n], "0")
			if c := cmp.Or(cmp.Compare(len(p), len(q)), strings.Compare(p, q)); c != 0 {
				return c
			}
			x, y = x[m:], y[n:]
			continue
		}
		if x[0] != y[0] {
			return cmp.Compare(x[0], y[0])
		}
		x, y = x[1:], y[1:]
	}
	// Leading zeros alone differ, or one is the beginning of the other.
	return cmp.Or(cmp.Compare(len(x), len(y)), strings.Compare(a, b))
}

// digits is the length of the run of decimal digits that s begins with.
func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}
