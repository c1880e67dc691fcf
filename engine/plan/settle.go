package plan

import "github.com/open-policy-agent/opa/v1/ast"

// Settled gives a value back with everything in it put into the order in which it is
// walked. OPA does so when it walks a set or an object for the first time, and what it
// does without walking (the union of two sets, say) may meanwhile see a member twice or
// not at all, if another goroutine is at it. What several runs use is settled before.
func Settled(t *ast.Term) *ast.Term {
	if t == nil {
		return nil
	}
	switch v := t.Value.(type) {
	case ast.Set:
		for _, e := range v.Slice() {
			Settled(e)
		}
	case ast.Object:
		v.Foreach(func(k, e *ast.Term) {
			Settled(k)
			Settled(e)
		})
	case *ast.Array:
		v.Foreach(func(e *ast.Term) { Settled(e) })
	}
	return t
}
