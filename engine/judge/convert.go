package judge

import (
	"math/big"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// convert adds to the text of each reading, where it was taken in another unit
// than it is held to, what it is in that unit: "10.11 N·m (89.48 in·lbf)". Value
// and unit of the fact stay as recorded. Facts are sorted.
func (src source) convert(facts []verdict.Fact) {
	for i, f := range facts {
		if f.Pointer == "" || f.Unit == "" {
			continue
		}
		from, known := src.set.Unit(f.Unit)
		value, ok := new(big.Rat).SetString(f.Value)
		if !known || !ok {
			continue
		}
		to, near := src.heldTo(facts, i, from)
		if to.Code == "" || to.Code == from.Code {
			continue
		}
		text, err := inUnit(value, decimals(f.Value), from, to, near)
		if err != nil {
			continue
		}
		facts[i].Text += " (" + src.withUnit(text, to.Code) + ")"
	}
}

// heldTo is the unit of what a reading is held to: that of a limit of the same
// quantity, else of a number that a rule worked out, else of a reading told before
// it. It is no unit where there is none. The numbers in that unit come with it.
func (src source) heldTo(facts []verdict.Fact, at int, from ruleset.Unit) (to ruleset.Unit, near []*big.Rat) {
	rank := 3
	for i, f := range facts {
		u, ok := src.set.Unit(f.Unit)
		if i == at || !ok || u.Quantity != from.Quantity {
			continue
		}
		r := 3
		switch {
		case f.Limit != "":
			r = 0
		case f.Pointer == "":
			r = 1
		case i < at:
			r = 2
		}
		if r < rank {
			to, rank = u, r
		}
	}
	for i, f := range facts {
		if v, ok := new(big.Rat).SetString(f.Value); ok && i != at && to.Code != "" && f.Unit == to.Code {
			near = append(near, v)
		}
	}
	return to, near
}

// inUnit is a value with a number of decimals in another unit of its quantity,
// printed as finely as it was recorded or a little finer, and so finely that it
// does not look like one of the numbers that it differs from.
func inUnit(value *big.Rat, place int, from, to ruleset.Unit, near []*big.Rat) (string, error) {
	var parts [6]*big.Rat
	for i, text := range []string{from.Num, from.Den, from.Add, to.Num, to.Den, to.Add} {
		r, err := exact(text)
		if err != nil {
			return "", err
		}
		parts[i] = r
	}
	factor := new(big.Rat).Quo(parts[0], parts[1])
	factor.Mul(factor, new(big.Rat).Quo(parts[4], parts[3]))
	offset := new(big.Rat).Sub(parts[2], parts[5])
	offset.Mul(offset, new(big.Rat).Quo(parts[4], parts[3]))
	out := new(big.Rat).Mul(value, factor)
	out.Add(out, offset)

	step := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(place)), nil))
	step.Mul(step, factor)
	shown, one := 0, big.NewRat(1, 1)
	for ; shown < maxPlaces && one.Cmp(step) > 0; shown++ {
		one.Quo(one, big.NewRat(10, 1))
	}
	for ; shown < maxPlaces && alike(out, shown, near); shown++ {
	}
	return fixed(out, shown), nil
}

// alike reports whether a number, printed to a number of decimals, looks like one
// that it differs from.
func alike(r *big.Rat, place int, near []*big.Rat) bool {
	printed, _ := new(big.Rat).SetString(fixed(r, place))
	for _, n := range near {
		if printed.Cmp(n) == 0 && r.Cmp(n) != 0 {
			return true
		}
	}
	return false
}

// refine prints the numbers that a rule worked out, by the place of their facts, so
// finely that none looks like a limit that it differs from: 0.02003 is not said to
// be 0.0200 where at most 0.020 is allowed.
func (src source) refine(facts []verdict.Fact, worked map[int]*big.Rat) {
	for i, value := range worked {
		if value == nil {
			continue
		}
		var near []*big.Rat
		for _, f := range facts {
			if v, ok := new(big.Rat).SetString(f.Value); ok && f.Limit != "" && f.Unit == facts[i].Unit {
				near = append(near, v)
			}
		}
		place := decimals(facts[i].Value)
		for ; place < maxPlaces && alike(value, place, near); place++ {
		}
		facts[i].Value = fixed(value, place)
		facts[i].Text = src.withUnit(facts[i].Value, facts[i].Unit)
	}
}

// decimals counts the digits behind the point of a number as it is written.
func decimals(text string) int {
	for i := range text {
		if text[i] == '.' {
			return len(text) - i - 1
		}
	}
	return 0
}
