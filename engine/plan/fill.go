package plan

import "github.com/open-policy-agent/opa/v1/ast"

// makeNew makes an empty value for others to fill.
type makeNew struct {
	to   int
	make func() ast.Value
}

func (s *makeNew) run(_ *Run, frame []*ast.Term) signal {
	frame[s.to] = ast.NewTerm(s.make())
	return next
}

type appendTo struct {
	value operand
	array int
}

func (s *appendTo) run(r *Run, frame []*ast.Term) signal {
	array, ok := frame[s.array].Value.(*ast.Array)
	if !ok {
		return r.fail(errKind)
	}
	frame[s.array] = ast.NewTerm(array.Append(s.value.in(frame)))
	return next
}

type addTo struct {
	value operand
	set   int
}

func (s *addTo) run(r *Run, frame []*ast.Term) signal {
	set, ok := frame[s.set].Value.(ast.Set)
	if !ok {
		return r.fail(errKind)
	}
	set.Add(s.value.in(frame))
	return next
}

// insert puts a member into an object; once, if another value for its key is an error.
type insert struct {
	key, value operand
	object     int
	once       bool
}

func (s *insert) run(r *Run, frame []*ast.Term) signal {
	object, ok := frame[s.object].Value.(ast.Object)
	if !ok {
		return r.fail(errKind)
	}
	key, value := s.key.in(frame), s.value.in(frame)
	switch was := object.Get(key); {
	case was == nil:
		object.Insert(key, value)
	case s.once:
		if !same(was, value) {
			return r.fail(errConflict)
		}
	default:
		object.Insert(key, value)
	}
	return next
}
