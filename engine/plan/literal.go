package plan

import (
	"maps"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/ir"
)

// literal finds a set, an array or an object that is written out of known values, so
// that it need be made only once: the statement that makes it, and those after it that
// fill it. It gives the steps that stand for them and how many statements that were;
// none if there is no such value, or if it is added to later. What has become known is
// added to env.
func (c *compiler) literal(stmts []ir.Stmt, env known) (block, int) {
	var value ast.Value
	var to ir.Local
	switch s := stmts[0].(type) {
	case *ir.MakeSetStmt:
		value, to = ast.NewSet(), s.Target
	case *ir.MakeArrayStmt:
		value, to = ast.NewArray(), s.Target
	case *ir.MakeObjectStmt:
		value, to = ast.NewObject(), s.Target
	default:
		return nil, 0
	}
	inner := maps.Clone(env)
	var steps block
	end := 1 // of what fills the value
	for at := 1; at < len(stmts); {
		if term := c.constant(stmts[at]); term != nil {
			l, _ := written(stmts[at])
			inner[l] = term
			steps = append(steps, &assign{to: c.local(l), from: operand{term: term}})
			at++
			continue
		}
		if within, used := c.literal(stmts[at:], inner); used > 0 {
			steps = append(steps, within...)
			at += used
			continue
		}
		filled := c.filled(value, to, stmts[at], inner)
		if filled == nil {
			break
		}
		value = filled
		at++
		end = at
	}
	if end == 1 || adds(&ir.Block{Stmts: stmts[end:]}, to) {
		return nil, 0
	}
	// What was made known after the last that fills the value is made known again.
	term := Settled(ast.NewTerm(value))
	maps.Copy(env, inner)
	env[to] = term
	return append(steps, &assign{to: c.local(to), from: operand{term: term}}), end
}

// filled is a value with what a statement adds to it; nil if the statement does
// something else, or adds what is not known.
func (c *compiler) filled(value ast.Value, to ir.Local, s ir.Stmt, env known) ast.Value {
	term := func(o ir.Operand) *ast.Term { return c.operand(o, env).term }
	switch s := s.(type) {
	case *ir.SetAddStmt:
		set, ok := value.(ast.Set)
		if v := term(s.Value); ok && s.Set == to && v != nil {
			set.Add(v)
			return set
		}
	case *ir.ArrayAppendStmt:
		array, ok := value.(*ast.Array)
		if v := term(s.Value); ok && s.Array == to && v != nil {
			return array.Append(v)
		}
	case *ir.ObjectInsertStmt:
		object, ok := value.(ast.Object)
		if k, v := term(s.Key), term(s.Value); ok && s.Object == to && k != nil && v != nil {
			object.Insert(k, v)
			return object
		}
	}
	return nil
}

// adds says whether anything in a block adds to a value.
func adds(b *ir.Block, to ir.Local) bool {
	for _, s := range b.Stmts {
		found := false
		switch s := s.(type) {
		case *ir.SetAddStmt:
			found = s.Set == to
		case *ir.ArrayAppendStmt:
			found = s.Array == to
		case *ir.ObjectInsertStmt:
			found = s.Object == to
		case *ir.ObjectInsertOnceStmt:
			found = s.Object == to
		case *ir.BlockStmt:
			for _, inner := range s.Blocks {
				found = found || adds(inner, to)
			}
		case *ir.ScanStmt:
			found = adds(s.Block, to)
		case *ir.NotStmt:
			found = adds(s.Block, to)
		}
		if found {
			return true
		}
	}
	return false
}
