package plan

import (
	"fmt"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/ir"
)

// step lays out one statement, and notes in env what is known after it.
func (c *compiler) step(s ir.Stmt, env known) (step, error) {
	if to, ok := written(s); ok {
		c.local(to)
	}
	if term := c.constant(s); term != nil {
		to, _ := written(s)
		env[to] = term
		return &assign{to: int(to), from: operand{term: term}}, nil
	}
	out, err := c.laidOut(s, env)
	if err != nil {
		return nil, err
	}
	if to, ok := written(s); ok {
		delete(env, to)
		if a, ok := out.(*assign); ok && a.from.term != nil {
			env[to] = a.from.term
		}
	}
	return out, nil
}

func (c *compiler) laidOut(s ir.Stmt, env known) (step, error) {
	switch s := s.(type) {
	case *ir.ReturnLocalStmt:
		return &leave{c.local(s.Source)}, nil
	case *ir.CallStmt:
		return c.call(s, env)
	case *ir.BlockStmt:
		blocks, err := c.nested(env, s.Blocks...)
		return &blockStep{blocks}, err
	case *ir.ScanStmt:
		delete(env, s.Key)
		delete(env, s.Value)
		source := c.operand(ir.Operand{Value: s.Source}, env)
		body, err := c.nested(env, s.Block)
		if err != nil {
			return nil, err
		}
		return &scan{source, c.local(s.Key), c.local(s.Value), body[0]}, nil
	case *ir.NotStmt:
		body, err := c.nested(env, s.Block)
		if err != nil {
			return nil, err
		}
		return &not{body[0]}, nil
	case *ir.BreakStmt:
		return &breakOut{signal(s.Index)}, nil
	case *ir.DotStmt:
		source, key := c.operand(s.Source, env), c.operand(s.Key, env)
		if source.term == nil || key.term == nil {
			return &dot{source, key, int(s.Target)}, nil
		}
		if v := member(source.term, key.term); v != nil {
			return &assign{to: int(s.Target), from: operand{term: v}}, nil
		}
		return &breakOut{0}, nil
	case *ir.LenStmt:
		return &length{c.operand(s.Source, env), int(s.Target)}, nil
	case *ir.AssignVarStmt:
		return &assign{to: int(s.Target), from: c.operand(s.Source, env)}, nil
	case *ir.AssignVarOnceStmt:
		return &assignOnce{c.operand(s.Source, env), int(s.Target)}, nil
	case *ir.ResetLocalStmt:
		return &reset{int(s.Target)}, nil
	case *ir.EqualStmt:
		return &equal{c.operand(s.A, env), c.operand(s.B, env), true}, nil
	case *ir.NotEqualStmt:
		return &equal{c.operand(s.A, env), c.operand(s.B, env), false}, nil
	case *ir.IsArrayStmt:
		return &kind{c.operand(s.Source, env), isArray}, nil
	case *ir.IsObjectStmt:
		return &kind{c.operand(s.Source, env), isObject}, nil
	case *ir.IsSetStmt:
		return &kind{c.operand(s.Source, env), isSet}, nil
	case *ir.IsDefinedStmt:
		return &defined{c.local(s.Source), true}, nil
	case *ir.IsUndefinedStmt:
		return &defined{c.local(s.Source), false}, nil
	case *ir.NopStmt:
		return nil, nil
	}
	return c.filling(s, env)
}

// filling lays out the statements that make sets, arrays and objects.
func (c *compiler) filling(s ir.Stmt, env known) (step, error) {
	switch s := s.(type) {
	case *ir.MakeArrayStmt:
		return &makeNew{int(s.Target), func() ast.Value { return ast.NewArrayWithCapacity(int(s.Capacity)) }}, nil
	case *ir.MakeObjectStmt:
		return &makeNew{int(s.Target), func() ast.Value { return ast.NewObject() }}, nil
	case *ir.MakeSetStmt:
		return &makeNew{int(s.Target), func() ast.Value { return ast.NewSet() }}, nil
	case *ir.ArrayAppendStmt:
		delete(env, s.Array)
		return &appendTo{c.operand(s.Value, env), c.local(s.Array)}, nil
	case *ir.SetAddStmt:
		delete(env, s.Set)
		return &addTo{c.operand(s.Value, env), c.local(s.Set)}, nil
	case *ir.ObjectInsertStmt:
		delete(env, s.Object)
		return &insert{c.operand(s.Key, env), c.operand(s.Value, env), c.local(s.Object), false}, nil
	case *ir.ObjectInsertOnceStmt:
		delete(env, s.Object)
		return &insert{c.operand(s.Key, env), c.operand(s.Value, env), c.local(s.Object), true}, nil
	}
	return nil, fmt.Errorf("there is no way here to run a statement of kind %T", s)
}
