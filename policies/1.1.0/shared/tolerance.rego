# METADATA
# title: Decisions against a limit
# description: |
#   A limit (limits.yaml, or a range of a class) says how it is decided. `direct`: the value itself. `rounded`: the
#   value rounded to the limit's place first, half to even. `guarded`: conforming only where the value is inside by at
#   least its expanded uncertainty, nonconforming only where it is outside by more than that, too close between
#   (guarded acceptance and guarded rejection of JCGM 106, w = U of ILAC-G8).
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.tolerance

import data.shared.exact

# state: where a pair stands to a limit: "in", "low", "high" or "close". u2 is the square of the expanded uncertainty
# as a pair, and matters to guarded limits alone.
state(q, limit, u2) := "low" if side_min(q, limit, u2) == "out"

else := "high" if side_max(q, limit, u2) == "out"

else := "close" if "close" in {side_max(q, limit, u2), side_min(q, limit, u2)}

else := "in" if {
	side_min(q, limit, u2) == "in"
	side_max(q, limit, u2) == "in"
}

# exactly: state for limits that are not guarded.
exactly(q, limit) := state(q, limit, [0, 1]) if limit.decided != "guarded"

side_min(q, limit, u2) := side(exact.subtract(compared(q, limit), exact.of(limit.min, data.units[limit.unit])), limit, u2) if limit.min

side_min(_, limit, _) := "in" if {
	limit.max
	not limit.min
}

side_max(q, limit, u2) := side(exact.subtract(exact.of(limit.max, data.units[limit.unit]), compared(q, limit)), limit, u2) if limit.max

side_max(_, limit, _) := "in" if {
	limit.min
	not limit.max
}

# compared: the value that is held against the limit.
compared(q, limit) := q if limit.decided in {"direct", "guarded"}

compared(q, limit) := exact.rounded(q, limit.place) if {
	limit.decided == "rounded"
	data.units[limit.unit].num == data.units[limit.unit].den
}

# A limit in a unit other than the base unit is rounded in its own unit.
compared(q, limit) := exact.times(exact.rounded(exact.times(q, [unit.den, unit.num]), limit.place), [unit.num, unit.den]) if {
	limit.decided == "rounded"
	unit := data.units[limit.unit]
	unit.num != unit.den
	unit.add == 0
}

# side: a margin (how far inside) judged directly, or guarded by comparing squares, for which no root is needed.
side(margin, limit, _) := "in" if {
	limit.decided != "guarded"
	margin[0] >= 0
}

side(margin, limit, _) := "out" if {
	limit.decided != "guarded"
	margin[0] < 0
}

side(margin, limit, u2) := "in" if {
	limit.decided == "guarded"
	margin[0] >= 0
	exact.at_least(exact.times(margin, margin), u2)
}

side(margin, limit, u2) := "out" if {
	limit.decided == "guarded"
	margin[0] < 0
	exact.above(exact.times(margin, margin), u2)
}

side(margin, limit, u2) := "close" if {
	limit.decided == "guarded"
	margin[0] >= 0
	not exact.at_least(exact.times(margin, margin), u2)
}

side(margin, limit, u2) := "close" if {
	limit.decided == "guarded"
	margin[0] < 0
	not exact.above(exact.times(margin, margin), u2)
}
