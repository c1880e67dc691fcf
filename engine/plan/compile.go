package plan

import (
	"encoding/json"
	"fmt"
	"maps"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/ir"
	"github.com/open-policy-agent/opa/v1/topdown"
)

// material is what OPA hands over: the plan, and the built-in functions that the
// release was given besides OPA's own.
type material struct {
	policy   *ir.Policy
	builtins map[string]*topdown.Builtin
}

// compiler lays out a plan.
type compiler struct {
	policy   *ir.Policy
	builtins map[string]*topdown.Builtin
	data     *ast.Term // nil if not known

	strings   []*ast.Term
	numbered  map[string]int // functions by name
	functions []*function
	at        *function // at hand
	width     int       // highest local of it, and one
}

// known are the locals whose value is the same whenever a place is reached.
type known map[ir.Local]*ast.Term

func (c *compiler) compile() ([]*function, error) {
	for _, s := range c.policy.Static.Strings {
		c.strings = append(c.strings, ast.StringTerm(s.Value))
	}
	c.numbered = map[string]int{}
	for i, f := range c.policy.Funcs.Funcs {
		c.numbered[f.Name] = i
		c.functions = append(c.functions, &function{
			number: i, params: f.Params, memo: len(f.Params) == shared,
			name: strings.Join(f.Path[min(1, len(f.Path)):], "."),
		})
	}
	for i, f := range c.policy.Funcs.Funcs {
		c.at, c.width = c.functions[i], 0
		for _, l := range f.Params {
			c.local(l)
		}
		c.local(f.Return)
		for _, b := range f.Blocks {
			env := known{}
			if c.data != nil {
				env[ir.Data] = c.data
			}
			block, err := c.block(b, env)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", f.Name, err)
			}
			c.functions[i].blocks = append(c.functions[i].blocks, block)
		}
		c.functions[i].width = c.width
	}
	return c.functions, nil
}

func (c *compiler) local(l ir.Local) int {
	c.width = max(c.width, int(l)+1)
	return int(l)
}

// operand is where a statement finds a value: in a local, or here.
func (c *compiler) operand(o ir.Operand, env known) operand {
	switch v := o.Value.(type) {
	case ir.StringIndex:
		return operand{term: c.strings[v]}
	case ir.Bool:
		return operand{term: ast.InternedTerm(bool(v))}
	case ir.Local:
		return operand{local: c.local(v), term: env[v]}
	}
	panic(fmt.Sprintf("an operand of kind %T", o.Value))
}

// block lays out statements in order. What env says holds before the first.
func (c *compiler) block(b *ir.Block, env known) (block, error) {
	var out block
	stmts := flattened(b.Stmts)
	for i := 0; i < len(stmts); i++ {
		if steps, used := c.literal(stmts[i:], env); used > 0 {
			out = append(out, steps...)
			i += used - 1
			continue
		}
		s, err := c.step(stmts[i], env)
		if err != nil {
			return nil, err
		}
		if s != nil {
			out = append(out, s)
		}
	}
	return out, nil
}

// flattened takes the blocks away that the planner puts around a look-up in the data,
// in which each statement ends the whole where it ends its own block.
func flattened(stmts []ir.Stmt) []ir.Stmt {
	var out []ir.Stmt
	for _, s := range stmts {
		if dots := lookup(s); dots != nil {
			out = append(out, dots...)
			continue
		}
		out = append(out, s)
	}
	return out
}

// lookup gives the look-ups of a block {block {look-ups; break 1}; break 1}.
func lookup(s ir.Stmt) []ir.Stmt {
	outer, ok := s.(*ir.BlockStmt)
	if !ok || len(outer.Blocks) != 1 || len(outer.Blocks[0].Stmts) != 2 {
		return nil
	}
	inner, ok := outer.Blocks[0].Stmts[0].(*ir.BlockStmt)
	if !ok || len(inner.Blocks) != 1 || !breaks(outer.Blocks[0].Stmts[1], 1) {
		return nil
	}
	stmts := inner.Blocks[0].Stmts
	if len(stmts) == 0 || !breaks(stmts[len(stmts)-1], 1) {
		return nil
	}
	dots := stmts[:len(stmts)-1]
	for _, d := range dots {
		if _, ok := d.(*ir.DotStmt); !ok {
			return nil
		}
	}
	return dots
}

func breaks(s ir.Stmt, levels uint32) bool {
	b, ok := s.(*ir.BreakStmt)
	return ok && b.Index == levels
}

// nested lays out the blocks inside a statement. What they write is not known in them
// beforehand, for some are run more than once, nor afterwards.
func (c *compiler) nested(env known, blocks ...*ir.Block) ([]block, error) {
	for _, b := range blocks {
		forget(b, env)
	}
	out := make([]block, len(blocks))
	for i, b := range blocks {
		var err error
		if out[i], err = c.block(b, maps.Clone(env)); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// forget takes out of env what a block writes.
func forget(b *ir.Block, env known) {
	for _, s := range b.Stmts {
		if to, ok := written(s); ok {
			delete(env, to)
		}
		switch s := s.(type) {
		case *ir.BlockStmt:
			for _, inner := range s.Blocks {
				forget(inner, env)
			}
		case *ir.ScanStmt:
			delete(env, s.Key)
			delete(env, s.Value)
			forget(s.Block, env)
		case *ir.NotStmt:
			forget(s.Block, env)
		}
	}
}

// written is the local that a statement gives a value.
func written(s ir.Stmt) (ir.Local, bool) {
	switch s := s.(type) {
	case *ir.CallStmt:
		return s.Result, true
	case *ir.DotStmt:
		return s.Target, true
	case *ir.LenStmt:
		return s.Target, true
	case *ir.AssignIntStmt:
		return s.Target, true
	case *ir.AssignVarStmt:
		return s.Target, true
	case *ir.AssignVarOnceStmt:
		return s.Target, true
	case *ir.ResetLocalStmt:
		return s.Target, true
	case *ir.MakeNullStmt:
		return s.Target, true
	case *ir.MakeNumberIntStmt:
		return s.Target, true
	case *ir.MakeNumberRefStmt:
		return s.Target, true
	case *ir.MakeArrayStmt:
		return s.Target, true
	case *ir.MakeObjectStmt:
		return s.Target, true
	case *ir.MakeSetStmt:
		return s.Target, true
	case *ir.ObjectMergeStmt:
		return s.Target, true
	}
	return 0, false
}

// constant is the value that a statement writes if it always writes the same.
func (c *compiler) constant(s ir.Stmt) *ast.Term {
	switch s := s.(type) {
	case *ir.MakeNullStmt:
		return ast.InternedNullTerm
	case *ir.MakeNumberIntStmt:
		return ast.IntNumberTerm(int(s.Value))
	case *ir.AssignIntStmt:
		return ast.IntNumberTerm(int(s.Value))
	case *ir.MakeNumberRefStmt:
		return ast.NumberTerm(json.Number(c.policy.Static.Strings[s.Index].Value))
	}
	return nil
}
