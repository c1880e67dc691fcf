package mutation

import (
	"context"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"
	"github.com/open-policy-agent/opa/v1/topdown"
	"github.com/open-policy-agent/opa/v1/types"
)

// What in is called once it is parsed.
const (
	member2 = "internal.member_2" // value in collection
	member3 = "internal.member_3" // key, value in collection
)

// The built-ins that switches are.
const (
	bodySwitch  = "mutation.holds"
	valueSwitch = "mutation.value"
)

// switchOf is the switch that stands in for a comparison, by the name of that.
func switchOf(comparison string) string {
	switch comparison {
	case member2:
		return "mutation.member_2"
	case member3:
		return "mutation.member_3"
	}
	return "mutation." + comparison
}

// none is the number of no switch.
const none = -1

// board is the state of all switches of one worker: which one is thrown, and which
// ones would have made a difference if they had been.
type board struct {
	thrown int
	// felt is marked, by number, where the changed answer would have been another.
	// Nil where nobody wants to know.
	felt []bool
}

// answer gives the answer of a switch, of which there are two.
func (b *board) answer(number int, plain, changed bool) bool {
	if b.felt != nil && plain != changed {
		b.felt[number] = true
	}
	if b.thrown == number {
		return changed
	}
	return plain
}

// comparisons are the switches with two operands: what each says unchanged and
// changed, of the order of the operands.
var comparisons = map[string]func(order int) (plain, changed bool){
	"lt":    func(o int) (bool, bool) { return o < 0, o <= 0 },
	"lte":   func(o int) (bool, bool) { return o <= 0, o < 0 },
	"gt":    func(o int) (bool, bool) { return o > 0, o >= 0 },
	"gte":   func(o int) (bool, bool) { return o >= 0, o > 0 },
	"equal": func(o int) (bool, bool) { return o == 0, o != 0 },
	"neq":   func(o int) (bool, bool) { return o != 0, o == 0 },
}

// declarations are the switches as the compiler knows them.
func declarations() []*ast.Builtin {
	var all []*ast.Builtin
	for _, s := range append(pairSwitches(), memberSwitches()...) {
		all = append(all, &ast.Builtin{Name: s.name, Decl: s.decl})
	}
	return append(all,
		&ast.Builtin{Name: bodySwitch, Decl: types.NewFunction(types.Args(types.N), types.B)},
		&ast.Builtin{Name: valueSwitch, Decl: types.NewFunction(types.Args(types.N, types.A), types.A)},
	)
}

type declared struct {
	name, of string
	decl     *types.Function
}

func pairSwitches() []declared {
	var all []declared
	for _, of := range []string{"lt", "lte", "gt", "gte", "equal", "neq"} {
		all = append(all, declared{switchOf(of), of, types.NewFunction(types.Args(types.N, types.A, types.A), types.B)})
	}
	return all
}

func memberSwitches() []declared {
	return []declared{
		{switchOf(member2), member2, types.NewFunction(types.Args(types.N, types.A, types.A), types.B)},
		{switchOf(member3), member3, types.NewFunction(types.Args(types.N, types.A, types.A, types.A), types.B)},
	}
}

// boardKey is the key under which a context holds the board whose switches are asked.
type boardKey struct{}

// withBoard is a context for questions whose switches are those of the board.
func withBoard(ctx context.Context, b *board) context.Context {
	return context.WithValue(ctx, boardKey{}, b)
}

// switches give a query the switches of the board that it is asked with.
func switches() []func(*rego.Rego) {
	boardOf := func(c rego.BuiltinContext) *board { return c.Context.Value(boardKey{}).(*board) }
	var all []func(*rego.Rego)
	give := func(name string, decl *types.Function, f func(b *board, number int, args []*ast.Term) *ast.Term) {
		all = append(all, rego.FunctionDyn(&rego.Function{Name: name, Decl: decl},
			func(c rego.BuiltinContext, args []*ast.Term) (*ast.Term, error) {
				n, _ := args[0].Value.(ast.Number).Int()
				return f(boardOf(c), n, args[1:]), nil
			}))
	}
	for _, s := range pairSwitches() {
		decide := comparisons[s.of]
		give(s.name, s.decl, func(b *board, n int, args []*ast.Term) *ast.Term {
			plain, changed := decide(ast.Compare(args[0].Value, args[1].Value))
			return ast.InternedTerm(b.answer(n, plain, changed))
		})
	}
	for _, s := range memberSwitches() {
		within := topdown.GetBuiltin(s.of)
		all = append(all, rego.FunctionDyn(&rego.Function{Name: s.name, Decl: s.decl},
			func(bctx rego.BuiltinContext, args []*ast.Term) (*ast.Term, error) {
				n, _ := args[0].Value.(ast.Number).Int()
				var is ast.Boolean
				err := within(bctx, args[1:], func(t *ast.Term) error {
					is, _ = t.Value.(ast.Boolean)
					return nil
				})
				return ast.InternedTerm(boardOf(bctx).answer(n, bool(is), !bool(is))), err
			}))
	}
	give(bodySwitch, types.NewFunction(types.Args(types.N), types.B), func(b *board, n int, _ []*ast.Term) *ast.Term {
		return ast.InternedTerm(b.answer(n, true, false))
	})
	give(valueSwitch, types.NewFunction(types.Args(types.N, types.A), types.A), func(b *board, n int, args []*ast.Term) *ast.Term {
		empty := emptied(args[0])
		changes := empty == nil || empty.Value.Compare(args[0].Value) != 0
		if b.answer(n, false, changes) {
			return empty
		}
		return args[0]
	})
	return all
}

// emptied is a collection with nothing in it; nil, which is undefined, for what is
// no collection.
func emptied(t *ast.Term) *ast.Term {
	switch t.Value.(type) {
	case ast.Set:
		return ast.SetTerm()
	case *ast.Array:
		return ast.ArrayTerm()
	case ast.Object:
		return ast.ObjectTerm()
	}
	return nil
}
