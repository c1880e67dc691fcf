package compare

import (
	"cmp"
	"slices"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// An answer is an outcome without its words. The zero value is that of a subject
// that is not asked about.
type answer struct {
	outcome  verdict.Value
	because  verdict.Because
	severity verdict.Severity
}

func answerOf(o verdict.Outcome) answer { return answer{o.Outcome, o.Because, o.Severity} }

// String is the answer in words. What conforms is said without its severity, which
// shows in nothing then.
func (a answer) String() string {
	switch a.outcome {
	case "":
		return "not asked"
	case verdict.NotApplicable:
		return "spared"
	case verdict.Indeterminate:
		return "indeterminate (" + string(a.because) + "), " + string(a.severity)
	case verdict.Nonconforming:
		return "nonconforming, " + string(a.severity)
	}
	return string(a.outcome)
}

// weight orders answers by how strict they are: first by what was found, then by
// how much it counts.
func (a answer) weight() (found, counts int) {
	switch a.outcome {
	case verdict.Indeterminate:
		found = 1
	case verdict.Nonconforming:
		found = 2
	default:
		return 0, 0
	}
	return found, slices.Index([]verdict.Severity{verdict.Minor, verdict.Major, verdict.Critical}, a.severity)
}

// stricter is above zero if b is stricter than a, below if it is looser.
func stricter(a, b answer) int {
	foundA, countsA := a.weight()
	foundB, countsB := b.weight()
	return cmp.Or(cmp.Compare(foundB, foundA), cmp.Compare(countsB, countsA))
}

// standing is how an outcome bears on the answer that its concern gives, as
// engine/judge draws it: the higher, the worse. Rules of the service plan bear on
// none, and minor outcomes do not.
//
//	procedure  1 incomplete, 2 rejected
//	condition  1 restricted or undetermined as it is followed up or not,
//	           2 undetermined, 3 unserviceable
func (a answer) standing(concern verdict.Concern) int {
	if a.severity == verdict.Minor {
		return 0
	}
	switch {
	case concern == verdict.Procedure && a.outcome == verdict.Nonconforming:
		return 2
	case concern == verdict.Procedure && a.outcome == verdict.Indeterminate && a.because == verdict.Evidence:
		return 1
	case concern == verdict.Condition && a.outcome == verdict.Nonconforming && a.severity == verdict.Critical:
		return 3
	case concern == verdict.Condition && a.outcome == verdict.Nonconforming:
		return 1
	case concern == verdict.Condition && a.outcome == verdict.Indeterminate:
		return 2
	}
	return 0
}

// breaks tells whether the turn from a to b may turn an accepted visit into one
// that is not, a serviceable machine into one that is not, or a restricted one into
// one that may not be used.
func breaks(concern verdict.Concern, a, b answer) bool {
	before, after := a.standing(concern), b.standing(concern)
	return before == 0 && after > 0 || concern == verdict.Condition && before == 1 && after > 1
}

// turns counts turned answers.
type turns struct {
	list []Turn
	at   map[[2]string]int
	up   bool // some are stricter
	down bool // some are looser
}

// add counts the turn from a to b, if it is one.
func (t *turns) add(a, b answer, where string) bool {
	from, to := a.String(), b.String()
	if from == to {
		return false
	}
	switch s := stricter(a, b); {
	case s > 0:
		t.up = true
	case s < 0:
		t.down = true
	}
	if t.at == nil {
		t.at = map[[2]string]int{}
	}
	key := [2]string{from, to}
	i, ok := t.at[key]
	if !ok {
		i = len(t.list)
		t.at[key] = i
		t.list = append(t.list, Turn{From: from, To: to, First: where})
	}
	t.list[i].Count++
	return true
}

// sorted are the turns, the most frequent first.
func (t *turns) sorted() []Turn {
	out := append([]Turn{}, t.list...)
	slices.SortFunc(out, func(a, b Turn) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To))
	})
	return out
}

func (t *turns) direction() string {
	switch {
	case len(t.list) == 0:
		return NoTurn
	case t.up && t.down:
		return Both
	case t.up:
		return Stricter
	case t.down:
		return Looser
	}
	return Neither
}
