// Package units tells quantities in texts in another system of units, for
// display alone.
//
// Start at [System.Text]. A text says what was recorded or what a rule asks; the
// converted number is put before it, what was written stays in brackets behind.
// Factors are exact; a result has about as fine a place as what was written, half
// to even. What cannot be told for certain is left as it is: a temperature that may
// be a difference, a whole number before the word "in".
package units

import "math/big"

// System is a system of units.
type System int

// The systems. AsRecorded, the zero value, changes nothing.
const (
	AsRecorded System = iota
	US
	SI
)

// unit is one that texts have: in the base unit of its quantity a value is
// value × num ÷ den + add ÷ addDen.
type unit struct {
	symbol      string
	quantity    string
	system      System // whose unit it is
	preferred   bool   // the one of its system that others are told in
	num, den    int64
	add, addDen int64
}

// table has the units that are told in another system. Factors are by NIST SP 811
// (2008), appendix B.8, exact ones from the definitions that stand there: 1 in =
// 25.4 mm, 1 lbf = 4.4482216152605 N, 1 gal = 3.785411784 L, 1 mi = 1609.344 m,
// 1 inch of water (conventional) = 249.08891 Pa, t/°C = (t/°F − 32) ÷ 1.8.
var table = []unit{
	{symbol: "N·m", quantity: "torque", system: SI, preferred: true, num: 1, den: 1},
	{symbol: "in·lbf", quantity: "torque", system: US, preferred: true, num: 1129848290276167, den: 10000000000000000},
	{symbol: "ft·lbf", quantity: "torque", system: US, num: 13558179483314004, den: 10000000000000000},
	{symbol: "mm", quantity: "length", system: SI, preferred: true, num: 1, den: 1},
	{symbol: "in", quantity: "length", system: US, preferred: true, num: 127, den: 5},
	{symbol: "m", quantity: "distance", system: SI, preferred: true, num: 1, den: 1},
	{symbol: "ft", quantity: "distance", system: US, preferred: true, num: 381, den: 1250},
	{symbol: "°C", quantity: "temperature", system: SI, preferred: true, num: 1, den: 1},
	{symbol: "°F", quantity: "temperature", system: US, preferred: true, num: 5, den: 9, add: -160, addDen: 9},
	{symbol: "mL", quantity: "volume", system: SI, preferred: true, num: 1, den: 1},
	{symbol: "fl oz", quantity: "volume", system: US, preferred: true, num: 295735295625, den: 10000000000},
	{symbol: "L", quantity: "bulk", system: SI, preferred: true, num: 1, den: 1},
	{symbol: "gal", quantity: "bulk", system: US, preferred: true, num: 3785411784, den: 1000000000},
	{symbol: "kPa", quantity: "pressure", system: SI, preferred: true, num: 1, den: 1},
	{symbol: "mbar", quantity: "pressure", system: SI, num: 1, den: 10},
	{symbol: "inH2O", quantity: "pressure", system: US, preferred: true, num: 24908891, den: 100000000},
	{symbol: "psi", quantity: "pressure", system: US, num: 44482216152605, den: 6451600000000},
	{symbol: "km/h", quantity: "speed", system: SI, preferred: true, num: 1, den: 1},
	{symbol: "m/s", quantity: "speed", system: SI, num: 18, den: 5},
	{symbol: "mi/h", quantity: "speed", system: US, preferred: true, num: 1609344, den: 1000000},
	{symbol: "L/min", quantity: "flow", system: SI, preferred: true, num: 1, den: 1},
	{symbol: "gal/min", quantity: "flow", system: US, preferred: true, num: 3785411784, den: 1000000000},
	{symbol: "m³/h", quantity: "airflow", system: SI, preferred: true, num: 1, den: 1},
	{symbol: "ft³/min", quantity: "airflow", system: US, preferred: true, num: 169901079552, den: 100000000000},
	{symbol: "N", quantity: "force", system: SI, preferred: true, num: 1, den: 1},
	{symbol: "lbf", quantity: "force", system: US, preferred: true, num: 44482216152605, den: 10000000000000},
	{symbol: "kg", quantity: "mass", system: SI, preferred: true, num: 1, den: 1},
	{symbol: "lb", quantity: "mass", system: US, preferred: true, num: 45359237, den: 100000000},
}

// difference makes of a unit of temperature one of differences, which have no
// offset.
func (u unit) difference() unit {
	u.add, u.addDen = 0, 1
	return u
}

func (u unit) factor() *big.Rat { return big.NewRat(u.num, u.den) }

func (u unit) offset() *big.Rat {
	if u.add == 0 {
		return new(big.Rat)
	}
	return big.NewRat(u.add, u.addDen)
}

// named finds a unit by its symbol.
func named(symbol string) (unit, bool) {
	for _, u := range table {
		if u.symbol == symbol {
			return u, true
		}
	}
	return unit{}, false
}

// counterpart is the unit that a system tells the quantity of another in; not ok
// where the system has the unit itself.
func (s System) counterpart(u unit) (unit, bool) {
	if s == AsRecorded || u.system == s {
		return unit{}, false
	}
	for _, c := range table {
		if c.quantity == u.quantity && c.system == s && c.preferred {
			return c, true
		}
	}
	return unit{}, false
}

// convert is a value in another unit of the quantity, and how fine a step of the
// one is in the other.
func convert(value, step *big.Rat, from, to unit) (out, outStep *big.Rat) {
	factor := new(big.Rat).Quo(from.factor(), to.factor())
	out = new(big.Rat).Mul(value, from.factor())
	out.Add(out, from.offset())
	out.Sub(out, to.offset())
	out.Quo(out, to.factor())
	return out, new(big.Rat).Mul(step, factor)
}

// printed writes a value to the coarsest place that is as fine as a step, a tie to
// the even digit.
func printed(value, step *big.Rat) string {
	place := 0
	for one := big.NewRat(1, 1); place < 12 && one.Cmp(step) > 0; place++ {
		one.Quo(one, big.NewRat(10, 1))
	}
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(place)), nil)
	n := new(big.Int).Mul(value.Num(), scale)
	q, m := new(big.Int).DivMod(n, value.Denom(), new(big.Int)) // m >= 0: q is the floor
	switch m.Lsh(m, 1).Cmp(value.Denom()) {
	case 1:
		q.Add(q, big.NewInt(1))
	case 0:
		q.Add(q, big.NewInt(int64(q.Bit(0))))
	}
	return new(big.Rat).SetFrac(q, scale).FloatString(place)
}
