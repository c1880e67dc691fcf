# METADATA
# scope: package
# title: The instruments are fine enough for the limits of the battery
# description: |
#   A wrench of 4 % cannot tell 95 from 91 inch pound-force, and the limit is only ten wide. Desired is a tolerance four
#   times the instrument's uncertainty; under that it is a remark with the ratio beside it, and an instrument whose
#   uncertainty is wider than the tolerance decides nothing. Tolerance is half the width of the limit. Limits with one
#   end have no width and no ratio.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: minor
#   says: "Tolerance over uncertainty is {ratio} for {what}; at least {desired} is desired."
#   needs: "The torque of the posts, for a sealed pack the voltage of the blocks, and the uncertainty of the instruments are needed."
#   needs_state: "Nothing was measured on the battery before the visit was cut off."
#   remedy: Use an instrument with a smaller uncertainty; until then the ratio stands in the report.
#   who: technician
#   concession: lead
#   since: visit/1
package procedure.record.instruments_fine

import data.shared.exact
import data.shared.instruments
import data.shared.readings
import data.shared.terminals
import data.shared.visit

battery_judged if {
	visit.attended
	"battery" in visit.areas
}

subjects contains "battery" if battery_judged

spared contains "nothing was attended" if visit.not_available

spared contains "the battery is not in the scope of this visit" if {
	visit.attended
	"battery" in visit.out_of_scope
}

# half: half the width of the limits with two ends, by quantity.
half contains {"quantity": "torque", "q": exact.over(exact.subtract(exact.of(row.limit.max, unit), exact.of(row.limit.min, unit)), 2)} if {
	some row in terminals.torque
	unit := data.units[row.limit.unit]
}

half contains {"quantity": "voltage", "q": exact.over(exact.subtract(exact.of(limit.max, unit), exact.of(limit.min, unit)), 2)} if {
	visit.sealed
	limit := visit.class.battery.rest_voltage
	unit := data.units[limit.unit]
}

# judged: the readings held against such a limit: of posts, and of the blocks of a sealed pack.
judged contains r if {
	some r in readings.all
	r.quantity == "torque"
}

judged contains r if {
	visit.sealed
	some r in readings.all
	r.quantity == "voltage"
	startswith(r.of, "block ")
}

# weighed: those whose instrument states an uncertainty, with it.
weighed contains {"reading": r, "half": h.q, "u": u} if {
	some r in judged
	some h in half
	h.quantity == r.quantity
	u := instruments.uncertainty(r.reading, r.quantity)
	u[0] > 0
}

wanted := exact.number(data.limits.visit.instrument_ratio.min)

least := exact.number(data.limits.visit.instrument_ratio_least.min)

fine contains w.reading if {
	some w in weighed
	exact.at_least(w.half, exact.times(wanted, w.u))
}

coarse contains w if {
	some w in weighed
	exact.above(exact.times(wanted, w.u), w.half)
}

useless contains w if {
	some w in coarse
	exact.above(exact.times(least, w.u), w.half)
}

conforming contains "battery" if {
	battery_judged
	count(judged) > 0
	judged == fine
}

nonconforming contains "battery" if {
	battery_judged
	count(coarse) > 0
}

not_possible contains "battery" if {
	battery_judged
	visit.cut_off
	count(judged) == 0
}

severity[subject] := "major" if {
	some subject in subjects
	count(useless) > 0
}

# coarsest: where no other has less tolerance for its uncertainty.
coarsest contains w if {
	some w in coarse
	every other in coarse {
		exact.at_least(exact.times(other.half, w.u), exact.times(w.half, other.u))
	}
}

facts[subject] contains {"name": "ratio", "number": w.half[0] * w.u[1], "scale": w.half[1] * w.u[0], "place": 2, "unit": "1"} if {
	some subject in subjects
	some w in coarsest
}

facts[subject] contains {"name": "what", "text": sprintf("%s by %s", [w.reading.quantity, w.reading.reading.instrument])} if {
	some subject in subjects
	some w in (coarsest - useless)
}

facts[subject] contains {"name": "what", "text": sprintf("%s by %s, which is too coarse to decide anything", [w.reading.quantity, w.reading.reading.instrument])} if {
	some subject in subjects
	some w in (coarsest & useless)
}

facts[subject] contains {"name": "at", "at": w.reading.at} if {
	some subject in subjects
	some w in coarsest
}

facts[subject] contains {"name": "desired", "limit": "visit.instrument_ratio", "bound": "min"} if some subject in subjects
