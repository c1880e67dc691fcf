package policies_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"
)

// draws is how many random cases each property is tried on.
const draws = 1200

// source returns random numbers that are the same on every run.
func source(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 9)) }

// randomDecimal draws a decimal as a visit may write it: up to 9 places, either
// sign, below a thousand million.
func randomDecimal(rng *rand.Rand) decimal {
	places := rng.IntN(10)
	whole := rng.Int64N(int64(1) << rng.IntN(30))
	r := new(big.Rat).SetFrac(big.NewInt(rng.Int64N(pow10(places).Int64())), pow10(places))
	r.Add(r, big.NewRat(whole, 1))
	if rng.IntN(3) == 0 {
		r.Neg(r)
	}
	return decimal(r.FloatString(places))
}

// pow10 returns 10 to the power n.
func pow10(n int) *big.Int {
	return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil)
}

// halfEven rounds to a whole number, a tie to the even one, by math/big alone.
func halfEven(r *big.Rat) *big.Int {
	twice := new(big.Int).Mul(r.Num(), big.NewInt(2))
	floor := new(big.Int).Div(r.Num(), r.Denom()) // Euclidean, so floor: the denominator is positive
	rest := new(big.Int).Sub(twice, new(big.Int).Mul(big.NewInt(2), new(big.Int).Mul(floor, r.Denom())))
	switch rest.Cmp(r.Denom()) {
	case 1:
		return floor.Add(floor, big.NewInt(1))
	case 0:
		if floor.Bit(0) == 1 {
			return floor.Add(floor, big.NewInt(1))
		}
	}
	return floor
}

// halfUp rounds to a whole number, a tie away from zero, by math/big alone.
func halfUp(r *big.Rat) *big.Int {
	abs := new(big.Rat).Abs(r)
	abs.Add(abs, big.NewRat(1, 2))
	n := new(big.Int).Quo(abs.Num(), abs.Denom())
	if r.Sign() < 0 {
		n.Neg(n)
	}
	return n
}

// TestExactNano turns decimals into whole billionths without loss.
func TestExactNano(t *testing.T) {
	rng := source(1)
	var in []decimal
	for range draws {
		in = append(in, randomDecimal(rng))
	}
	in = append(in, "0", "0.000000001", "-0.000000001", "999999999.999999999", "-999999999.999999999", "1.260", "0.3")
	var cases []map[string]any
	for _, d := range in {
		cases = append(cases, map[string]any{"v": d.number()})
	}
	for i, got := range helpers(t).each(t, "data.shared.exact.nano(c.v)", cases) {
		want := new(big.Rat).Mul(in[i].rat(), new(big.Rat).SetInt(pow10(9)))
		if !want.IsInt() || intOf(t, got).Cmp(want.Num()) != 0 {
			t.Errorf("nano(%s) = %v, want %s", in[i], got, want.RatString())
		}
	}
}

// TestExactHalfEven rounds quotients of whole numbers up to 110 bits, a third of
// them ties, of both signs, and compares with math/big.
func TestExactHalfEven(t *testing.T) {
	rng := source(2)
	bits := func(n int) *big.Int {
		b := new(big.Int)
		for range n {
			b.Lsh(b, 1).SetBit(b, 0, uint(rng.IntN(2)))
		}
		return b
	}
	var quotients []*big.Rat
	var cases []map[string]any
	add := func(n, d *big.Int) {
		quotients = append(quotients, new(big.Rat).SetFrac(n, d))
		cases = append(cases, map[string]any{"n": json.Number(n.String()), "d": json.Number(d.String())})
	}
	for i := range draws {
		d := bits(1 + rng.IntN(50))
		d.Add(d, big.NewInt(1))
		n := new(big.Int).Mul(bits(1+rng.IntN(60)), d)
		switch i % 3 {
		case 0: // a tie: (2k+1)/2 as (2k+1)d / 2d
			n.Mul(n, big.NewInt(2)).Add(n, d)
			d.Mul(d, big.NewInt(2))
		case 1: // anything
			n.Add(n, bits(1+rng.IntN(50)))
		case 2: // one step beside a tie
			n.Mul(n, big.NewInt(2)).Add(n, d).Add(n, big.NewInt(int64(1-2*rng.IntN(2))))
			d.Mul(d, big.NewInt(2))
		}
		if rng.IntN(2) == 0 {
			n.Neg(n)
		}
		add(n, d)
	}
	for _, n := range []int64{-7, -5, -3, -1, 0, 1, 3, 5, 7} {
		add(big.NewInt(n), big.NewInt(2))
		add(big.NewInt(n), big.NewInt(10))
	}
	for i, got := range helpers(t).each(t, "data.shared.exact.half_even(c.n, c.d)", cases) {
		if want := halfEven(quotients[i]); intOf(t, got).Cmp(want) != 0 {
			t.Errorf("half_even(%v, %v) = %v, want %v", cases[i]["n"], cases[i]["d"], got, want)
		}
	}
}

// TestExactArithmetic compares each operation on pairs with math/big, on pairs
// with denominators as units.yaml makes them.
func TestExactArithmetic(t *testing.T) {
	r := helpers(t)
	units := r.unitsOf(t)
	names := slices.Sorted(maps.Keys(units))
	rng := source(3)
	type two struct{ a, b *big.Rat }
	var drawn []two
	var cases []map[string]any
	for i := range draws {
		a, b := randomDecimal(rng), randomDecimal(rng)
		u, w := names[rng.IntN(len(names))], names[rng.IntN(len(names))]
		if i%4 == 0 {
			b, w = a, u // equal, so that a comparison meets its edge
		}
		drawn = append(drawn, two{units[u].base(a.rat()), units[w].base(b.rat())})
		cases = append(cases, map[string]any{"a": a.number(), "u": u, "b": b.number(), "w": w, "k": 1 + rng.IntN(36)})
	}
	const a, b = "data.shared.exact.of(c.a, data.units[c.u])", "data.shared.exact.of(c.b, data.units[c.w])"
	for name, want := range map[string]func(x, y *big.Rat) *big.Rat{
		"add":      func(x, y *big.Rat) *big.Rat { return new(big.Rat).Add(x, y) },
		"subtract": func(x, y *big.Rat) *big.Rat { return new(big.Rat).Sub(x, y) },
		"times":    func(x, y *big.Rat) *big.Rat { return new(big.Rat).Mul(x, y) },
	} {
		for i, got := range r.each(t, fmt.Sprintf("data.shared.exact.%s(%s, %s)", name, a, b), cases) {
			if w := want(drawn[i].a, drawn[i].b); ratOf(t, got).Cmp(w) != 0 {
				t.Errorf("%s of %v = %v, want %s", name, cases[i], got, w.RatString())
			}
		}
	}
	for name, want := range map[string]func(c int) bool{
		"at_least": func(c int) bool { return c >= 0 },
		"above":    func(c int) bool { return c > 0 },
	} {
		for i, got := range r.each(t, fmt.Sprintf("data.shared.exact.%s(%s, %s)", name, a, b), cases) {
			if w := want(drawn[i].a.Cmp(drawn[i].b)); got != w {
				t.Errorf("%s of %v = %v, want %v", name, cases[i], got, w)
			}
		}
	}
	for i, got := range r.each(t, fmt.Sprintf("data.shared.exact.size(%s)", a), cases) {
		if w := new(big.Rat).Abs(drawn[i].a); ratOf(t, got).Cmp(w) != 0 {
			t.Errorf("size of %v = %v, want %s", cases[i], got, w.RatString())
		}
	}
	for i, got := range r.each(t, fmt.Sprintf("data.shared.exact.over(%s, c.k)", a), cases) {
		if w := new(big.Rat).Quo(drawn[i].a, big.NewRat(int64(cases[i]["k"].(int)), 1)); ratOf(t, got).Cmp(w) != 0 {
			t.Errorf("over of %v = %v, want %s", cases[i], got, w.RatString())
		}
	}
	for i, got := range r.each(t, "data.shared.exact.difference(c.a, data.units[c.u])", cases) {
		u := units[cases[i]["u"].(string)]
		w := new(big.Rat).Sub(drawn[i].a, decimal(u.Add).rat())
		if ratOf(t, got).Cmp(w) != 0 {
			t.Errorf("difference of %v = %v, want %s", cases[i], got, w.RatString())
		}
	}
}

// TestExactMany compares sum, greatest and least over several pairs of several
// units with math/big.
func TestExactMany(t *testing.T) {
	rng := source(4)
	var drawn [][]*big.Rat
	var cases []map[string]any
	dens := []int64{1, 5, 127, 1000000000, 1129848290276167, 6451600000000}
	for range draws / 4 {
		n := 1 + rng.IntN(18)
		var rats []*big.Rat
		var pairs []any
		for range n {
			d := big.NewInt(dens[rng.IntN(len(dens))])
			x := big.NewInt(rng.Int64N(1<<60) - 1<<59)
			rats = append(rats, new(big.Rat).SetFrac(x, d))
			pairs = append(pairs, []any{json.Number(x.String()), json.Number(d.String())})
		}
		drawn = append(drawn, rats)
		cases = append(cases, map[string]any{"pairs": pairs})
	}
	compare := func(x, y *big.Rat) int { return x.Cmp(y) }
	for name, want := range map[string]func([]*big.Rat) *big.Rat{
		"greatest": func(rats []*big.Rat) *big.Rat { return slices.MaxFunc(rats, compare) },
		"least":    func(rats []*big.Rat) *big.Rat { return slices.MinFunc(rats, compare) },
		"sum_of": func(rats []*big.Rat) *big.Rat {
			total := new(big.Rat)
			for _, r := range rats {
				total.Add(total, r)
			}
			return total
		},
	} {
		for i, got := range helpers(t).each(t, "data.shared.exact."+name+"(c.pairs)", cases) {
			if w := want(drawn[i]); ratOf(t, got).Cmp(w) != 0 {
				t.Errorf("%s of %v = %v, want %s", name, cases[i]["pairs"], got, w.RatString())
			}
		}
	}
}

// TestExactRounded rounds pairs to the places that limits have, ties included.
func TestExactRounded(t *testing.T) {
	rng := source(5)
	places := []decimal{"0.001", "0.01", "0.1", "1", "0.5", "0.25", "0.125", "5", "10"}
	var want []*big.Rat
	var cases []map[string]any
	for i := range draws {
		place := places[rng.IntN(len(places))]
		v := randomDecimal(rng).rat()
		if i%2 == 0 { // a tie of this place
			v.SetInt64(rng.Int64N(100000) - 50000)
			v.Add(v, big.NewRat(1, 2)).Mul(v, place.rat())
		}
		n := halfEven(new(big.Rat).Quo(v, place.rat()))
		want = append(want, new(big.Rat).Mul(new(big.Rat).SetInt(n), place.rat()))
		cases = append(cases, map[string]any{"q": pairOf(v), "place": place.number()})
	}
	for i, got := range helpers(t).each(t, "data.shared.exact.rounded(c.q, c.place)", cases) {
		if ratOf(t, got).Cmp(want[i]) != 0 {
			t.Errorf("rounded(%v, %v) = %v, want %s", cases[i]["q"], cases[i]["place"], got, want[i].RatString())
		}
	}
}
