package turn

import (
	"cmp"
	"slices"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Pair is what two verdicts say to one question: of one rule, about one subject.
type Pair struct {
	Rule, Subject string
	// Was and Is point into the outcomes given; nil where the question was not asked.
	Was, Is *verdict.Outcome
}

// From is the answer that was given.
func (p Pair) From() Answer { return answer(p.Was) }

// To is the answer that is given.
func (p Pair) To() Answer { return answer(p.Is) }

func answer(o *verdict.Outcome) Answer {
	if o == nil {
		return Answer{}
	}
	return Of(*o)
}

// Pairs are the questions that are answered otherwise, by rule and subject. Of each
// question there may be one outcome on either side.
func Pairs(was, is []verdict.Outcome) []Pair {
	type question struct{ rule, subject string }
	all := make(map[question]Pair, max(len(was), len(is)))
	for i, o := range was {
		all[question{o.Rule, o.Subject}] = Pair{Rule: o.Rule, Subject: o.Subject, Was: &was[i]}
	}
	for i, o := range is {
		q := question{o.Rule, o.Subject}
		p := all[q]
		p.Rule, p.Subject, p.Is = o.Rule, o.Subject, &is[i]
		all[q] = p
	}
	var out []Pair
	for _, p := range all {
		if p.From().String() != p.To().String() {
			out = append(out, p)
		}
	}
	slices.SortFunc(out, func(a, b Pair) int {
		return cmp.Or(cmp.Compare(a.Rule, b.Rule), verdict.CompareSubjects(a.Subject, b.Subject))
	})
	return out
}
