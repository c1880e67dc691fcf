package ruleset

import (
	"math/big"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
)

// nativeFunctions are the helpers of package shared.exact in Go. An exact
// quantity is a pair of whole numbers, numerator and denominator.
var nativeFunctions = []struct {
	helper   string
	arity    int
	function nativeFunction
}{
	{"shared.exact.nano", 1, nativeNano},
	{"shared.exact.number", 1, nativeDecimal},
	{"shared.exact.of", 2, nativeOf},
	{"shared.exact.difference", 2, nativeDifference},
	{"shared.exact.at_least", 2, nativeCompare(func(order int) bool { return order >= 0 })},
	{"shared.exact.above", 2, nativeCompare(func(order int) bool { return order > 0 })},
	{"shared.exact.add", 2, nativeSum(sum)},
	{"shared.exact.subtract", 2, nativeSum(less)},
	{"shared.exact.times", 2, nativeTimes},
	{"shared.exact.over", 2, nativeOver},
	{"shared.exact.size", 1, nativeSize},
	{"shared.exact.sum_of", 1, nativeFold(func(all []number) (number, bool, error) {
		total := whole(0)
		for _, n := range all {
			var err error
			if total, err = sum.of(total, n); err != nil {
				return total, false, err
			}
		}
		return total, true, nil
	})},
	{"shared.exact.greatest", 1, nativeFold(extreme(1))},
	{"shared.exact.least", 1, nativeFold(extreme(-1))},
	{"shared.exact.half_even", 2, nativeHalfEven},
	{"shared.exact.rounded", 2, nativeRounded},
}

const billion = 1_000_000_000

// pair is an exact quantity.
type pair struct{ num, den number }

func (p pair) term() *ast.Term { return ast.ArrayTerm(p.num.term(), p.den.term()) }

// pairOf reads a pair. What is no pair leaves a helper undefined.
func pairOf(t *ast.Term) (pair, bool) {
	a, ok := t.Value.(*ast.Array)
	if !ok || a.Len() < 2 {
		return pair{}, false
	}
	num, okNum := numberOf(a.Elem(0))
	den, okDen := numberOf(a.Elem(1))
	return pair{num, den}, okNum && okDen
}

func pairsOf(x, y *ast.Term) (a, b pair, ok bool) {
	a, okA := pairOf(x)
	b, okB := pairOf(y)
	return a, b, okA && okB
}

// result of a chain of operations: the first error, or the term.
func result(p pair, err error) (*ast.Term, error) {
	if err != nil {
		return nil, err
	}
	return p.term(), nil
}

// billionths is a decimal as a whole number of billionths. Where the decimal
// has no more than nine places and is not huge the evaluator's float loses
// nothing, so the digits can be moved instead; else it is asked.
func billionths(n number) (number, error) {
	if n.other == "" {
		return product.of(n, whole(billion))
	}
	if i, ok := moveDigits(string(n.other)); ok {
		return whole(i), nil
	}
	scaled, err := evaluated(ast.Multiply.Name, n, whole(billion))
	if err != nil {
		return number{}, err
	}
	return evaluated(ast.Round.Name, scaled)
}

// exactFloat is the size below which whole numbers and a few halvings of one
// fit a binary float of 64 bits, so that the evaluator's rounding is exact.
const exactFloat = 1 << 60

func moveDigits(text string) (int64, bool) {
	digits, negative := strings.CutPrefix(text, "-")
	before, after, _ := strings.Cut(digits, ".")
	if len(after) > 9 || before == "" {
		return 0, false
	}
	var v int64
	for _, part := range []string{before, after, strings.Repeat("0", 9-len(after))} {
		for _, c := range []byte(part) {
			if c < '0' || c > '9' || v >= exactFloat/10 {
				return 0, false
			}
			v = v*10 + int64(c-'0')
		}
	}
	if negative {
		v = -v
	}
	return v, true
}

func nativeNano(args []*ast.Term) (*ast.Term, error) {
	v, ok := numberOf(args[0])
	if !ok {
		return nil, typeError(ast.Multiply.Name, args[0], whole(billion).term())
	}
	n, err := billionths(v)
	if err != nil {
		return nil, err
	}
	if n.big != nil { // the evaluator rounds through a float
		n, err = evaluated(ast.Round.Name, n)
	}
	return n.term(), err
}

func nativeDecimal(args []*ast.Term) (*ast.Term, error) {
	n, err := nativeNano(args)
	if n == nil || err != nil {
		return nil, err
	}
	return ast.ArrayTerm(n, whole(billion).term()), nil
}

// inUnit is a value in a unit as a pair in the base unit.
func inUnit(args []*ast.Term, offset bool) (*ast.Term, error) {
	unit, ok := args[1].Value.(ast.Object)
	if !ok {
		return nil, nil
	}
	member := func(name string) (number, bool) {
		t := unit.Get(ast.InternedTerm(name))
		if t == nil {
			return number{}, false
		}
		return numberOf(t)
	}
	num, okNum := member("num")
	den, okDen := member("den")
	add, okAdd := member("add")
	if !okNum || !okDen || offset && !okAdd {
		return nil, nil
	}
	nano, err := nativeNano(args[:1])
	if nano == nil || err != nil {
		return nil, err
	}
	v, _ := numberOf(nano)
	c := calculation{}
	top := c.do(product, v, num)
	if offset {
		top = c.do(sum, top, c.do(product, c.do(product, add, den), whole(billion)))
	}
	return result(pair{top, c.do(product, den, whole(billion))}, c.err)
}

func nativeOf(args []*ast.Term) (*ast.Term, error)         { return inUnit(args, true) }
func nativeDifference(args []*ast.Term) (*ast.Term, error) { return inUnit(args, false) }

// calculation strings operations together and keeps the first error.
type calculation struct{ err error }

func (c *calculation) do(op operation, x, y number) number {
	if c.err != nil {
		return number{}
	}
	var r number
	r, c.err = op.of(x, y)
	return r
}

func (c *calculation) ask(name string, args ...number) number {
	if c.err != nil {
		return number{}
	}
	var r number
	r, c.err = evaluated(name, args...)
	return r
}

func nativeCompare(holds func(int) bool) nativeFunction {
	return func(args []*ast.Term) (*ast.Term, error) {
		a, b, ok := pairsOf(args[0], args[1])
		if !ok {
			return nil, nil
		}
		c := calculation{}
		x, y := c.do(product, a.num, b.den), c.do(product, b.num, a.den)
		if c.err != nil {
			return nil, c.err
		}
		return ast.InternedTerm(holds(compared(x, y))), nil
	}
}

func nativeSum(op operation) nativeFunction {
	return func(args []*ast.Term) (*ast.Term, error) {
		a, b, ok := pairsOf(args[0], args[1])
		if !ok {
			return nil, nil
		}
		c := calculation{}
		if compared(a.den, b.den) == 0 {
			return result(pair{c.do(op, a.num, b.num), a.den}, c.err)
		}
		top := c.do(op, c.do(product, a.num, b.den), c.do(product, b.num, a.den))
		return result(pair{top, c.do(product, a.den, b.den)}, c.err)
	}
}

func nativeTimes(args []*ast.Term) (*ast.Term, error) {
	a, b, ok := pairsOf(args[0], args[1])
	if !ok {
		return nil, nil
	}
	c := calculation{}
	return result(pair{c.do(product, a.num, b.num), c.do(product, a.den, b.den)}, c.err)
}

func nativeOver(args []*ast.Term) (*ast.Term, error) {
	a, okA := pairOf(args[0])
	k, okK := numberOf(args[1])
	if !okA || !okK {
		return nil, nil
	}
	c := calculation{}
	return result(pair{a.num, c.do(product, a.den, k)}, c.err)
}

func nativeSize(args []*ast.Term) (*ast.Term, error) {
	a, ok := pairOf(args[0])
	if !ok {
		return nil, nil
	}
	if compared(a.num, whole(0)) >= 0 {
		return args[0], nil
	}
	c := calculation{}
	return result(pair{c.do(less, whole(0), a.num), a.den}, c.err)
}

// nativeFold brings pairs to one denominator, the product of the different
// ones, and makes one number of the numerators.
func nativeFold(fold func([]number) (number, bool, error)) nativeFunction {
	return func(args []*ast.Term) (*ast.Term, error) {
		pairs := pairList(args[0])
		var dens []number
		for _, p := range pairs {
			if !contains(dens, p.den) {
				dens = append(dens, p.den)
			}
		}
		c := calculation{}
		common := whole(1)
		for _, d := range dens {
			common = c.do(product, common, d)
		}
		nums := make([]number, len(pairs))
		for i, p := range pairs {
			nums[i] = p.num
			for _, d := range dens {
				if compared(d, p.den) != 0 {
					nums[i] = c.do(product, nums[i], d)
				}
			}
		}
		if c.err != nil {
			return nil, c.err
		}
		n, ok, err := fold(nums)
		if !ok || err != nil {
			return nil, err
		}
		return pair{n, common}.term(), nil
	}
}

func contains(list []number, n number) bool {
	for _, m := range list {
		if compared(m, n) == 0 {
			return true
		}
	}
	return false
}

// pairList reads an array of pairs, or a set of them; as in the helpers'
// comprehensions, what is no pair is passed over. A set written out of
// variables, {a, b}, is not the same thing everywhere: the evaluator walks both
// members even where they are equal, so helpers are to be given arrays.
func pairList(t *ast.Term) []pair {
	var pairs []pair
	take := func(t *ast.Term) {
		if p, ok := pairOf(t); ok {
			pairs = append(pairs, p)
		}
	}
	switch v := t.Value.(type) {
	case *ast.Array:
		v.Foreach(take)
	case ast.Set:
		v.Foreach(take)
	}
	return pairs
}

// extreme finds the greatest (sign 1) or least (sign -1); of none there is none.
func extreme(sign int) func([]number) (number, bool, error) {
	return func(all []number) (number, bool, error) {
		if len(all) == 0 {
			return number{}, false, nil
		}
		best := all[0]
		for _, n := range all[1:] {
			if compared(n, best)*sign > 0 {
				best = n
			}
		}
		return best, true, nil
	}
}

// halfEven rounds n/d to a whole number, a tie to the even one.
func halfEven(n, d number) (number, error) {
	if n.other == "" && d.other == "" && compared(d, whole(0)) > 0 {
		if q, ok := halfEvenWhole(n, d); ok {
			return q, nil
		}
	}
	// As the helper is written, step by step.
	c := calculation{}
	twice := c.do(product, whole(2), d)
	t := c.do(sum, c.do(product, whole(2), n), d)
	m := c.ask(ast.Rem.Name, c.do(sum, c.ask(ast.Rem.Name, t, twice), twice), twice)
	f := c.ask(ast.Round.Name, c.ask(ast.Divide.Name, c.do(less, t, m), twice))
	if c.err == nil && compared(m, whole(0)) == 0 {
		f = c.do(less, f, c.ask(ast.Abs.Name, c.ask(ast.Rem.Name, f, whole(2))))
	}
	return f, c.err
}

// halfEvenWhole is for quotients small enough that the evaluator's float holds
// them exactly, and so comes to the same.
func halfEvenWhole(n, d number) (number, bool) {
	twice := new(big.Int).Lsh(d.wide(), 1)
	t := new(big.Int).Add(new(big.Int).Lsh(n.wide(), 1), d.wide())
	f, m := new(big.Int).DivMod(t, twice, new(big.Int)) // m is never below zero
	if !f.IsInt64() || f.Int64() >= exactFloat || f.Int64() <= -exactFloat {
		return number{}, false
	}
	q := f.Int64()
	if m.Sign() == 0 && q%2 != 0 {
		q--
	}
	return whole(q), true
}

func nativeHalfEven(args []*ast.Term) (*ast.Term, error) {
	n, okN := numberOf(args[0])
	d, okD := numberOf(args[1])
	if !okN || !okD {
		return nil, typeError(ast.Multiply.Name, args[0], args[1])
	}
	q, err := halfEven(n, d)
	if err != nil {
		return nil, err
	}
	return q.term(), nil
}

func nativeRounded(args []*ast.Term) (*ast.Term, error) {
	a, ok := pairOf(args[0])
	if !ok {
		return nil, nil
	}
	place, err := nativeNano(args[1:])
	if place == nil || err != nil {
		return nil, err
	}
	p, _ := numberOf(place)
	c := calculation{}
	n, d := c.do(product, a.num, whole(billion)), c.do(product, a.den, p)
	if c.err != nil {
		return nil, c.err
	}
	q, err := halfEven(n, d)
	if err != nil {
		return nil, err
	}
	return result(pair{c.do(product, q, p), whole(billion)}, c.err)
}
