package plan

import (
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
)

// Answers are what a run worked out for its input, for whoever asks again about the
// same input after something was changed that only some answers rest on. They are good
// for runs of the same plan over the same data, and may be used by several at once.
type Answers struct{ held []held }

type held struct {
	number int
	value  *ast.Term // nil if undefined
}

// Answers are those that the run has worked out so far.
func (r *Run) Answers() Answers {
	n := 0
	for _, m := range r.memo {
		if m.known {
			n++
		}
	}
	out := make([]held, 0, n)
	for i, m := range r.memo {
		if m.known {
			out = append(out, held{i, Settled(m.value)})
		}
	}
	return Answers{out}
}

// Take has answers taken over, in place of working them out, but for those that rest on
// what was changed.
func (r *Run) Take(a Answers, but Resting) {
	for _, h := range a.held {
		if !but[h.number] {
			r.memo[h.number] = answer{h.value, true}
		}
	}
}

// Resting marks, by their numbers, the functions of a plan that rest on something.
type Resting []bool

// Resting are the functions that rest on a document or a function of the release, dotted
// and below data: it, and all that call it or call what does.
func (p *Plan) Resting(name string) Resting {
	out := make(Resting, len(p.functions))
	var mark func(f *function)
	mark = func(f *function) {
		if out[f.number] {
			return
		}
		out[f.number] = true
		for _, c := range f.callers {
			mark(c)
		}
	}
	for _, f := range p.functions {
		if f.name == name || strings.HasPrefix(f.name, name+".") {
			mark(f)
		}
	}
	return out
}
