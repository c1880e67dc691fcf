package plan

import "github.com/open-policy-agent/opa/v1/ast"

// signal is how a step ended: a number of blocks to leave besides the innermost, or one
// of those below.
type signal int

const (
	next   signal = -1 // go on with the step after it
	left   signal = -2 // the function has its result
	failed signal = -3 // there was an error
)

// undefined leaves the innermost block.
const undefined signal = 0

// step is one statement laid out. The frame holds the locals of the function.
type step interface {
	run(r *Run, frame []*ast.Term) signal
}

type block []step

func (b block) run(r *Run, frame []*ast.Term) signal {
	for _, s := range b {
		if to := s.run(r, frame); to != next {
			return to
		}
	}
	return next
}

// operand is a value that is known, or a local.
type operand struct {
	term  *ast.Term
	local int
}

func (o *operand) in(frame []*ast.Term) *ast.Term {
	if o.term != nil {
		return o.term
	}
	return frame[o.local]
}

// blockStep runs blocks one after the other, whether or not one was left early.
type blockStep struct{ blocks []block }

func (s *blockStep) run(r *Run, frame []*ast.Term) signal {
	for _, b := range s.blocks {
		switch to := b.run(r, frame); {
		case to == next || to == undefined:
		case to > 0:
			return to - 1
		default:
			return to
		}
	}
	return next
}

// scan runs a block for each member of an array, an object or a set, in order.
type scan struct {
	source     operand
	key, value int
	body       block
}

func (s *scan) run(r *Run, frame []*ast.Term) signal {
	end := next
	once := func(k, v *ast.Term) bool {
		frame[s.key], frame[s.value] = k, v
		switch to := s.body.run(r, frame); {
		case to == next || to == undefined:
			return false
		case to > 1:
			end = to - 2
		case to < 0:
			end = to
		}
		return true
	}
	switch v := s.source.in(frame).Value.(type) {
	case *ast.Array:
		for i := range v.Len() {
			if once(ast.InternedTerm(i), v.Elem(i)) {
				break
			}
		}
	case ast.Set:
		v.Until(func(t *ast.Term) bool { return once(t, t) })
	case ast.Object:
		v.Until(once)
	}
	return end
}

// not goes on if its block does not reach its end.
type not struct{ body block }

func (s *not) run(r *Run, frame []*ast.Term) signal {
	switch to := s.body.run(r, frame); {
	case to == next:
		return undefined
	case to == undefined:
		return next
	case to > 0:
		return to - 1
	default:
		return to
	}
}

type breakOut struct{ levels signal }

func (s *breakOut) run(*Run, []*ast.Term) signal { return s.levels }

// leave ends a function with a result, which may be undefined.
type leave struct{ source int }

func (s *leave) run(r *Run, frame []*ast.Term) signal {
	r.result = frame[s.source]
	return left
}

// dot looks up a member.
type dot struct {
	source, key operand
	to          int
}

func (s *dot) run(_ *Run, frame []*ast.Term) signal {
	v := member(s.source.in(frame), s.key.in(frame))
	if v == nil {
		return undefined
	}
	frame[s.to] = v
	return next
}

// member is what stands at a key: of an object its value, of an array the element, of a
// set the key itself if it is in it. Of all else there is none.
func member(of, key *ast.Term) *ast.Term {
	switch v := of.Value.(type) {
	case ast.Object:
		return v.Get(key)
	case *ast.Array:
		return v.Get(key)
	case ast.Set:
		if v.Contains(key) {
			return key
		}
	}
	return nil
}

type length struct {
	source operand
	to     int
}

func (s *length) run(_ *Run, frame []*ast.Term) signal {
	var n int
	switch v := s.source.in(frame).Value.(type) {
	case *ast.Array:
		n = v.Len()
	case ast.Object:
		n = v.Len()
	case ast.Set:
		n = v.Len()
	default:
		return undefined
	}
	frame[s.to] = ast.InternedTerm(n)
	return next
}

type assign struct {
	from operand
	to   int
}

func (s *assign) run(_ *Run, frame []*ast.Term) signal {
	frame[s.to] = s.from.in(frame)
	return next
}

// assignOnce is for what may have one value only.
type assignOnce struct {
	from operand
	to   int
}

func (s *assignOnce) run(r *Run, frame []*ast.Term) signal {
	v := s.from.in(frame)
	if was := frame[s.to]; was != nil && !same(was, v) {
		return r.fail(errConflict)
	}
	frame[s.to] = v
	return next
}

type reset struct{ to int }

func (s *reset) run(_ *Run, frame []*ast.Term) signal {
	frame[s.to] = nil
	return next
}

// equal goes on if two values are equal, or if they are not.
type equal struct {
	a, b operand
	want bool
}

func (s *equal) run(_ *Run, frame []*ast.Term) signal {
	if same(s.a.in(frame), s.b.in(frame)) != s.want {
		return undefined
	}
	return next
}

func same(a, b *ast.Term) bool { return a == b || ast.ValueEqual(a.Value, b.Value) }

type kind struct {
	source operand
	is     func(ast.Value) bool
}

func isArray(v ast.Value) bool  { _, ok := v.(*ast.Array); return ok }
func isObject(v ast.Value) bool { _, ok := v.(ast.Object); return ok }
func isSet(v ast.Value) bool    { _, ok := v.(ast.Set); return ok }

func (s *kind) run(_ *Run, frame []*ast.Term) signal {
	if !s.is(s.source.in(frame).Value) {
		return undefined
	}
	return next
}

type defined struct {
	source int
	want   bool
}

func (s *defined) run(_ *Run, frame []*ast.Term) signal {
	if (frame[s.source] != nil) != s.want {
		return undefined
	}
	return next
}
