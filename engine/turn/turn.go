// Package turn says how outcomes differ: from which answer to which they turned,
// how often, and whether the new one is stricter.
//
// Start at [Of] and [Counter]. The package compares what it is given; it judges
// nothing.
package turn

import (
	"cmp"
	"slices"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// An Answer is an outcome without its words. The zero value is that of a subject
// that is not asked about.
type Answer struct {
	Outcome  verdict.Value
	Because  verdict.Because
	Severity verdict.Severity
}

// Of is the answer that an outcome gives.
func Of(o verdict.Outcome) Answer { return Answer{o.Outcome, o.Because, o.Severity} }

// String is the answer in words. What conforms is said without its severity, which
// shows in nothing then.
func (a Answer) String() string {
	switch a.Outcome {
	case "":
		return "not asked"
	case verdict.NotApplicable:
		return "spared"
	case verdict.Indeterminate:
		return "indeterminate (" + string(a.Because) + "), " + string(a.Severity)
	case verdict.Nonconforming:
		return "nonconforming, " + string(a.Severity)
	}
	return string(a.Outcome)
}

// weight orders answers by how strict they are: first by what was found, then by
// how much it counts.
func (a Answer) weight() (found, counts int) {
	switch a.Outcome {
	case verdict.Indeterminate:
		found = 1
	case verdict.Nonconforming:
		found = 2
	default:
		return 0, 0
	}
	return found, slices.Index([]verdict.Severity{verdict.Minor, verdict.Major, verdict.Critical}, a.Severity)
}

// stricter is above zero if b is stricter than a, below if it is looser.
func stricter(a, b Answer) int {
	foundA, countsA := a.weight()
	foundB, countsB := b.weight()
	return cmp.Or(cmp.Compare(foundB, foundA), cmp.Compare(countsB, countsA))
}

// A Turn counts outcomes that turned from one answer to another, both in the words
// of [Answer.String]: "nonconforming, major". A subject that is judged by one
// release alone is "not asked" in the other.
type Turn struct {
	From  string `json:"from"`
	To    string `json:"to"`
	Count int    `json:"count"`
	// First is the first of them: an example or a visit, and the subject.
	First string `json:"first"`
}

// The values of [Counter.Direction].
const (
	Stricter = "stricter"
	Looser   = "looser"
	Both     = "both"    // stricter here, looser there
	Neither  = "neither" // other outcomes, none of them stricter or looser
	None     = "none"    // no difference was found
)

// A Counter counts turned answers. The zero value is ready for use.
type Counter struct {
	list []Turn
	at   map[[2]string]int
	up   bool // some are stricter
	down bool // some are looser
}

// Add counts the turn from a to b at a place, if it is one, and tells whether it
// is.
func (c *Counter) Add(a, b Answer, where string) bool {
	from, to := a.String(), b.String()
	if from == to {
		return false
	}
	switch s := stricter(a, b); {
	case s > 0:
		c.up = true
	case s < 0:
		c.down = true
	}
	if c.at == nil {
		c.at = map[[2]string]int{}
	}
	key := [2]string{from, to}
	i, ok := c.at[key]
	if !ok {
		i = len(c.list)
		c.at[key] = i
		c.list = append(c.list, Turn{From: from, To: to, First: where})
	}
	c.list[i].Count++
	return true
}

// Sorted are the turns, the most frequent first; never nil.
func (c *Counter) Sorted() []Turn {
	out := append([]Turn{}, c.list...)
	slices.SortFunc(out, func(a, b Turn) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To))
	})
	return out
}

// Direction is one of [Stricter], [Looser], [Both], [Neither], [None].
func (c *Counter) Direction() string {
	switch {
	case len(c.list) == 0:
		return None
	case c.up && c.down:
		return Both
	case c.up:
		return Stricter
	case c.down:
		return Looser
	}
	return Neither
}
