# METADATA
# title: Exact numbers
# description: |
#   An exact quantity is a pair [numerator, denominator] of whole numbers, the denominator above zero, in the base
#   unit of its quantity (units.yaml). Rego's arithmetic on decimals is binary, so a decimal becomes a whole number of
#   billionths at once and from there only + - * % and comparison are used. A quotient is taken in one place, half_even,
#   whose result is a whole number below 2^62.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.exact

# nano: a decimal of at most 9 places as a whole number of billionths.
nano(v) := round(v * 1000000000)

# of: value in a unit (a row of units.yaml) as a pair in the base unit.
of(v, unit) := [(nano(v) * unit.num) + ((unit.add * unit.den) * 1000000000), unit.den * 1000000000]

# difference: a difference, tolerance or uncertainty in a unit as a pair in the base unit; no zero offset.
difference(v, unit) := [nano(v) * unit.num, unit.den * 1000000000]

# number: a plain decimal as a pair.
number(v) := [nano(v), 1000000000]

at_least(a, b) := (a[0] * b[1]) >= (b[0] * a[1])

above(a, b) := (a[0] * b[1]) > (b[0] * a[1])

# add, subtract: not "plus" and "minus", which are what + and - themselves are called.
add(a, b) := [a[0] + b[0], a[1]] if a[1] == b[1]

add(a, b) := [(a[0] * b[1]) + (b[0] * a[1]), a[1] * b[1]] if a[1] != b[1]

subtract(a, b) := [a[0] - b[0], a[1]] if a[1] == b[1]

subtract(a, b) := [(a[0] * b[1]) - (b[0] * a[1]), a[1] * b[1]] if a[1] != b[1]

# times: the product of two pairs.
times(a, b) := [a[0] * b[0], a[1] * b[1]]

# over: a pair divided by a whole number above zero.
over(a, k) := [a[0], a[1] * k]

size(a) := a if a[0] >= 0

size(a) := [0 - a[0], a[1]] if a[0] < 0

# common: pairs brought to one denominator, {"den": d, "nums": [n, …]}, in the order given.
common(pairs) := {"den": den, "nums": nums} if {
	dens := {p[1] | some p in pairs}
	den := product(dens)
	nums := [n | some p in pairs; n := p[0] * product([d | some d in dens; d != p[1]])]
}

# sum, greatest, least: over an array of pairs; greatest and least of an empty array are undefined.
sum_of(pairs) := [sum(c.nums), c.den] if c := common(pairs)

greatest(pairs) := [max(c.nums), c.den] if c := common(pairs)

least(pairs) := [min(c.nums), c.den] if c := common(pairs)

# half_even: n/d rounded to a whole number, a tie to the even one; d above zero, |n/d| below 2^62.
half_even(n, d) := f - tie(m, f) if {
	t := (2 * n) + d
	m := ((t % (2 * d)) + (2 * d)) % (2 * d)
	f := round((t - m) / (2 * d))
}

tie(0, f) := abs(f % 2)

tie(m, _) := 0 if m != 0

# rounded: a pair rounded to a place (0.001, 1, 0.5 …), half to even, as in the rounding method of ASTM E29.
rounded(a, place) := [half_even(a[0] * 1000000000, a[1] * p) * p, 1000000000] if p := nano(place)
