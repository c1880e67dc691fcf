# METADATA
# title: Instruments and what a reading is worth
# description: |
#   A reading is usable if its instrument is known, measures that quantity, is of the kind the quantity needs or better,
#   was valid on the day of the visit, and the value lies in its range. Condition rules prove conforming from usable
#   readings alone.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.instruments

import data.shared.exact
import data.shared.times
import data.shared.visit

rank := {"by-eye": 0, "indicator": 1, "checked": 2, "calibrated": 3}

# valid: instruments that held on the day of the visit they were used on, by slot (visit.slots).
valid[slot] contains i.id if {
	some slot, v in visit.slots
	some i in v.instruments
	i.kind in {"by-eye", "indicator"}
}

valid[slot] contains i.id if {
	some slot, v in visit.slots
	some i in v.instruments
	i.kind == "checked"
	day := substring(v.started, 0, 10)
	i.last <= day
	times.days_between(i.last, day) <= data.limits.visit.check_holds.max
}

valid[slot] contains i.id if {
	some slot, v in visit.slots
	some i in v.instruments
	i.kind == "calibrated"
	day := substring(v.started, 0, 10)
	i.last <= day
	day <= i.next
}

# measuring: instruments that measure a quantity, valid or not; kind_enough: of the kind the quantity needs, or better.
measuring[slot][m.quantity] contains i.id if {
	some slot, v in visit.slots
	some i in v.instruments
	some m in i.measures
}

kind_enough[slot][quantity] contains i.id if {
	some slot, v in visit.slots
	some quantity, kinds in kinds_enough
	some i in v.instruments
	i.kind in kinds
}

kinds_enough := {quantity: kinds |
	some quantity, need in data.limits.instruments
	kinds := {kind | some kind, r in rank; r >= rank[need.least_kind]}
}

# fit: [slot, quantity, instrument], known, measuring the quantity, of a kind that serves, valid on the day.
fit contains [slot, m.quantity, i.id] if {
	some slot, v in visit.slots
	some i in v.instruments
	i.id in valid[slot]
	some m in i.measures
	i.kind in kinds_enough[m.quantity]
}

# ranged: instruments that state a range for a quantity, with its ends as exact pairs.
ranged[slot][m.quantity][i.id] contains {"low": exact.of(m.low, data.units[m.unit]), "high": exact.of(m.high, data.units[m.unit])} if {
	some slot, v in visit.slots
	some i in v.instruments
	some m in i.measures
}

# rangeless: instruments that measure a quantity and state no range for it; who must state one is up to the record.
rangeless[slot][quantity] contains id if {
	some slot, quantities in measuring
	some quantity, ids in quantities
	some id in (ids - object.keys(object.get(ranged, [slot, quantity], {})))
}

# uncertain: the expanded uncertainty of an instrument for a quantity, brought from the coverage factor it is stated with
# to 2, which is what guarded decisions and ratios go by.
uncertain[m.quantity][i.id] contains {"u": exact.times(exact.difference(m.uncertainty, data.units[m.unit]), to_two(m.k)), "as": "value"} if {
	some i in input.visit.instruments
	some m in i.measures
	m.uncertainty_as == "value"
}

uncertain[m.quantity][i.id] contains {"u": exact.times(exact.number(m.uncertainty), to_two(m.k)), "as": "percent"} if {
	some i in input.visit.instruments
	some m in i.measures
	m.uncertainty_as == "percent"
}

to_two(k) := [2 * 1000000000, exact.nano(k)]

# usable: whether a reading of a quantity is usable, today's or one of an earlier visit. Undefined: not proven to be.
usable(reading, quantity) if usable_in("today", reading, quantity)

usable_in(slot, reading, quantity) if {
	[slot, quantity, reading.instrument] in fit
	in_range(slot, reading, quantity)
}

in_range(slot, reading, quantity) if reading.instrument in rangeless[slot][quantity]

in_range(slot, reading, quantity) if {
	some span in ranged[slot][quantity][reading.instrument]
	q := exact.of(reading.value, data.units[reading.unit])
	exact.at_least(q, span.low)
	exact.at_least(span.high, q)
}

# u2: square of a reading's expanded uncertainty in the base unit; undefined where the instrument states none.
u2(reading, quantity) := exact.times(uncertainty(reading, quantity), uncertainty(reading, quantity))

uncertainty(reading, quantity) := row.u if {
	some row in uncertain[quantity][reading.instrument]
	row.as == "value"
}

uncertainty(reading, quantity) := exact.over(exact.times(exact.size(exact.difference(reading.value, data.units[reading.unit])), row.u), 100) if {
	some row in uncertain[quantity][reading.instrument]
	row.as == "percent"
}
