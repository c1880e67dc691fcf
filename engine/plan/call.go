package plan

import (
	"fmt"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/ir"
	"github.com/open-policy-agent/opa/v1/topdown"
)

// function is a rule, or a function of the release.
type function struct {
	number int
	params []ir.Local
	blocks []block
	width  int  // of its frame
	memo   bool // it has no arguments of its own, so it is run once an input

	name    string      // of the document or function, dotted, below data
	callers []*function // one may be here twice
}

// call lays out a call of a function of the release, or of a built-in one.
func (c *compiler) call(s *ir.CallStmt, env known) (step, error) {
	args := make([]operand, len(s.Args))
	for i, a := range s.Args {
		args[i] = c.operand(a, env)
	}
	if number, ok := c.numbered[s.Func]; ok {
		f := c.functions[number]
		f.callers = append(f.callers, c.at)
		if f.memo {
			return &ask{f, int(s.Result)}, nil
		}
		return &call{f, args[shared:], int(s.Result)}, nil
	}
	if holds := comparison(s.Func); holds != nil && len(args) == 2 {
		return &compare{args[0], args[1], holds, int(s.Result)}, nil
	}
	if b, ok := c.builtins[s.Func]; ok {
		return &builtin{b.Func, args, int(s.Result)}, nil
	}
	if f := topdown.GetBuiltin(s.Func); f != nil {
		return &builtin{f, args, int(s.Result)}, nil
	}
	return nil, fmt.Errorf("there is no built-in function %q", s.Func)
}

// ask has the value of a rule.
type ask struct {
	f  *function
	to int
}

func (s *ask) run(r *Run, frame []*ast.Term) signal {
	v, ok := r.value(s.f)
	if !ok {
		return failed
	}
	if v == nil {
		return undefined
	}
	frame[s.to] = v
	return next
}

// call calls a function with arguments.
type call struct {
	f    *function
	args []operand
	to   int
}

func (s *call) run(r *Run, frame []*ast.Term) signal {
	inner := r.enter(s.f)
	for i := range s.args {
		inner[s.f.params[shared+i]] = s.args[i].in(frame)
	}
	v, ok := r.body(s.f, inner)
	if !ok {
		return failed
	}
	if v == nil {
		return undefined
	}
	frame[s.to] = v
	return next
}

// builtin calls a built-in function.
type builtin struct {
	f    topdown.BuiltinFunc
	args []operand
	to   int
}

func (s *builtin) run(r *Run, frame []*ast.Term) signal {
	args := r.args[:0]
	for i := range s.args {
		args = append(args, s.args[i].in(frame))
	}
	r.args, r.output = args, nil
	if err := s.f(r.context, args, r.take); err != nil {
		return r.fail(err)
	}
	if r.output == nil {
		return undefined
	}
	frame[s.to] = r.output
	return next
}

// compare is one of the built-in comparisons, as OPA has them.
type compare struct {
	a, b  operand
	holds func(a, b *ast.Term) bool
	to    int
}

func (s *compare) run(_ *Run, frame []*ast.Term) signal {
	frame[s.to] = ast.InternedTerm(s.holds(s.a.in(frame), s.b.in(frame)))
	return next
}

func comparison(name string) func(a, b *ast.Term) bool {
	order := func(a, b *ast.Term) int { return a.Value.Compare(b.Value) }
	switch name {
	case ast.Equal.Name:
		return same
	case ast.NotEqual.Name:
		return func(a, b *ast.Term) bool { return !same(a, b) }
	case ast.LessThan.Name:
		return func(a, b *ast.Term) bool { return order(a, b) < 0 }
	case ast.LessThanEq.Name:
		return func(a, b *ast.Term) bool { return order(a, b) <= 0 }
	case ast.GreaterThan.Name:
		return func(a, b *ast.Term) bool { return order(a, b) > 0 }
	case ast.GreaterThanEq.Name:
		return func(a, b *ast.Term) bool { return order(a, b) >= 0 }
	}
	return nil
}
