package plan

import (
	"context"
	"errors"
	"fmt"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/ir"
	"github.com/open-policy-agent/opa/v1/topdown"
)

// Run answers for one input. It is for one goroutine, and to be closed after use.
type Run struct {
	plan    *Plan
	input   *ast.Term
	data    *ast.Term
	memo    []answer // by function
	stack   []*ast.Term
	top     int
	context topdown.BuiltinContext

	args   []*ast.Term // of the built-in function that is called
	output *ast.Term   // of it
	take   func(*ast.Term) error
	result *ast.Term // of the function that was left
	err    error
}

// answer is the value of a rule for an input; nil if it is undefined.
type answer struct {
	value *ast.Term
	known bool
}

var (
	errConflict = errors.New("two values for what can have one")
	errKind     = errors.New("a value of another kind than the plan has")
)

// Over puts an input before the plan.
func (p *Plan) Over(ctx context.Context, input ast.Value) *Run { return p.over(ctx, input, p.data) }

// OverData puts an input before a plan that was made without data, with those its rules
// read. They must not change while the run is open, nor be used by another at the same time.
func (p *Plan) OverData(ctx context.Context, input, data ast.Value) *Run {
	return p.over(ctx, input, ast.NewTerm(data))
}

func (p *Plan) over(ctx context.Context, input ast.Value, data *ast.Term) *Run {
	r, ok := p.idle.Get().(*Run)
	if !ok {
		r = &Run{plan: p, memo: make([]answer, len(p.functions))}
		r.take = func(t *ast.Term) error {
			r.output = t
			return nil
		}
	}
	r.input, r.data = ast.NewTerm(input), data
	r.context.Context = ctx
	return r
}

// Close gives a run back. What it answered stays good.
func (r *Run) Close() {
	clear(r.memo)
	clear(r.stack)
	r.top, r.input, r.data, r.result, r.output, r.err = 0, nil, nil, nil, nil, nil
	r.context = topdown.BuiltinContext{}
	r.plan.idle.Put(r)
}

// Know has a value taken for that of a document, in place of working it out. One that
// the plan has no single function for is worked out all the same.
func (r *Run) Know(document string, value *ast.Term) {
	if d := r.plan.documents[document]; d.whole != nil {
		r.memo[d.whole.number] = answer{value, true}
	}
}

// Ask is the value of a document that the plan was made with; nil if it is undefined.
func (r *Run) Ask(document string) (ast.Value, error) {
	if err := r.context.Context.Err(); err != nil {
		return nil, err
	}
	if r.data == nil {
		return nil, errors.New("the plan was made without data, and none came with the input")
	}
	d, ok := r.plan.documents[document]
	if !ok {
		return nil, fmt.Errorf("the plan has no document %s", document)
	}
	if d.whole != nil {
		v, ok := r.value(d.whole)
		if !ok {
			return nil, fmt.Errorf("evaluating %s: %w", document, r.err)
		}
		if v == nil {
			return nil, nil
		}
		return v.Value, nil
	}
	object := ast.NewObject()
	for key, f := range d.parts {
		v, ok := r.value(f)
		if !ok {
			return nil, fmt.Errorf("evaluating %s.%s: %w", document, key, r.err)
		}
		if v != nil {
			object.Insert(ast.StringTerm(key), v)
		}
	}
	return object, nil
}

func (r *Run) fail(err error) signal {
	r.err = err
	return failed
}

// value is that of a rule, worked out when it is first asked for. False says that there
// was an error.
func (r *Run) value(f *function) (*ast.Term, bool) {
	if m := r.memo[f.number]; m.known {
		return m.value, true
	}
	v, ok := r.body(f, r.enter(f))
	if ok {
		r.memo[f.number] = answer{v, true}
	}
	return v, ok
}

// enter makes a frame for a function.
func (r *Run) enter(f *function) []*ast.Term {
	end := r.top + f.width
	if end > len(r.stack) {
		// Frames that are in use stay where they are.
		r.stack = make([]*ast.Term, max(2*len(r.stack), end, 1024))
	}
	frame := r.stack[r.top:end:end]
	r.top = end
	clear(frame)
	frame[f.params[ir.Input]], frame[f.params[ir.Data]] = r.input, r.data
	return frame
}

// body runs a function in its frame, and leaves it.
func (r *Run) body(f *function, frame []*ast.Term) (*ast.Term, bool) {
	r.result = nil
	for _, b := range f.blocks {
		switch b.run(r, frame) {
		case failed:
			return nil, false
		case left:
			r.top -= f.width
			return r.result, true
		}
	}
	r.top -= f.width
	return nil, true
}
