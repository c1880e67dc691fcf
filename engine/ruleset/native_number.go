package ruleset

import (
	"fmt"
	"math"
	"math/big"
	"math/bits"
	"strconv"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/topdown"
)

// number is a Rego number, kept as narrow as it fits: nearly all that rules
// compute are whole numbers of less than 64 bits.
type number struct {
	small int64
	big   *big.Int   // a whole number that does not fit in small
	other ast.Number // any other, such as a decimal; "" for whole numbers
}

func numberOf(t *ast.Term) (number, bool) {
	n, ok := t.Value.(ast.Number)
	if !ok {
		return number{}, false
	}
	if i, err := strconv.ParseInt(string(n), 10, 64); err == nil {
		return number{small: i}, true
	}
	if i, ok := new(big.Int).SetString(string(n), 10); ok {
		return number{big: i}, true
	}
	return number{other: n}, true
}

func whole(i int64) number { return number{small: i} }

func (n number) term() *ast.Term {
	switch {
	case n.other != "":
		return ast.NewTerm(n.other)
	case n.big != nil:
		return ast.NewTerm(ast.Number(n.big.String()))
	}
	return ast.NewTerm(ast.Number(strconv.FormatInt(n.small, 10)))
}

func (n number) wide() *big.Int {
	if n.big != nil {
		return n.big
	}
	return big.NewInt(n.small)
}

func narrowed(i *big.Int) number {
	if i.IsInt64() {
		return number{small: i.Int64()}
	}
	return number{big: i}
}

// operation is arithmetic of Rego: its own fast ways for whole numbers, and
// the evaluator's own built-in for all else.
type operation struct {
	narrow func(x, y int64) (int64, bool) // false where the result does not fit, or is an error
	wide   func(z, x, y *big.Int) *big.Int
	name   string
}

var (
	product = operation{multiplied, (*big.Int).Mul, ast.Multiply.Name}
	sum     = operation{added, (*big.Int).Add, ast.Plus.Name}
	less    = operation{subtracted, (*big.Int).Sub, ast.Minus.Name}
)

func (op operation) of(x, y number) (number, error) {
	if x.other == "" && y.other == "" {
		if x.big == nil && y.big == nil {
			if r, ok := op.narrow(x.small, y.small); ok {
				return whole(r), nil
			}
		}
		return narrowed(op.wide(new(big.Int), x.wide(), y.wide())), nil
	}
	return evaluated(op.name, x, y)
}

func added(x, y int64) (int64, bool) {
	r := x + y
	return r, (r > x) == (y > 0)
}

func subtracted(x, y int64) (int64, bool) {
	r := x - y
	return r, (r < x) == (y > 0)
}

func multiplied(x, y int64) (int64, bool) {
	if x == math.MinInt64 || y == math.MinInt64 {
		return 0, false
	}
	high, low := bits.Mul64(uint64(max(x, -x)), uint64(max(y, -y)))
	if high != 0 || low > math.MaxInt64 {
		return 0, false
	}
	if (x < 0) != (y < 0) {
		return -int64(low), true
	}
	return int64(low), true
}

// compared orders two numbers as the evaluator does.
func compared(x, y number) int {
	if x.other == "" && y.other == "" {
		if x.big == nil && y.big == nil {
			switch {
			case x.small < y.small:
				return -1
			case x.small > y.small:
				return 1
			}
			return 0
		}
		return x.wide().Cmp(y.wide())
	}
	return ast.Compare(x.term().Value, y.term().Value)
}

// evaluated asks the evaluator's own built-in.
func evaluated(name string, args ...number) (number, error) {
	terms := make([]*ast.Term, len(args))
	for i, a := range args {
		terms[i] = a.term()
	}
	f := topdown.GetBuiltin(name)
	if f == nil {
		return number{}, fmt.Errorf("the evaluator has no built-in %s", name)
	}
	var result number
	err := f(topdown.BuiltinContext{}, terms, func(t *ast.Term) error {
		result, _ = numberOf(t)
		return nil
	})
	return result, err
}

// typeError is the evaluator's own complaint about an operand of an arithmetic
// built-in.
func typeError(name string, args ...*ast.Term) error {
	f := topdown.GetBuiltin(name)
	if f == nil {
		return fmt.Errorf("the evaluator has no built-in %s", name)
	}
	return f(topdown.BuiltinContext{}, args, func(*ast.Term) error { return nil })
}
