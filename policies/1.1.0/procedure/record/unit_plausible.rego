# METADATA
# scope: package
# title: No reading looks as if its unit were wrong
# description: |
#   A torque of 10.7 noted as inch pound-force is 10.7 newton metre in the wrong column; 24 noted as °F beside 72 °F in the
#   air is 24 °C. The reading is judged as it stands and is never repaired in silence: this is a hint where to look.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: minor
#   says: "A unit looks wrong: {what}, noted as {reading}."
#   needs: "The torques and temperatures of the battery, and the temperature of the air beside it, are needed to tell whether their units fit."
#   needs_state: "Nothing was measured on the battery before the visit was cut off."
#   remedy: Look at the instrument's unit and correct the record if it was noted wrongly.
#   who: technician
#   concession: lead
#   since: visit/1
package procedure.record.unit_plausible

import data.shared.exact
import data.shared.readings
import data.shared.terminals
import data.shared.tolerance
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

# judged: torques of posts, and temperatures of cells and blocks.
judged contains r if {
	some r in readings.all
	r.quantity == "torque"
}

judged contains r if {
	some r in readings.all
	r.quantity == "temperature"
	r.of != "the air"
}

air contains exact.of(r.reading.value, data.units[r.reading.unit]) if {
	some r in readings.all
	r.of == "the air"
}

# expected: [reading, unit] in which a reading would be what is to be expected: a torque inside its limit, a temperature
# near the air's. as_stated: in its own unit; otherwise: in another one alone.
as_stated contains r if {
	some r in judged
	r.quantity == "torque"
	some row in terminals.torque
	tolerance.exactly(exact.of(r.reading.value, data.units[r.reading.unit]), row.limit) == "in"
}

as_stated contains r if {
	some r in judged
	r.quantity == "temperature"
	some around in air
	tolerance.exactly(exact.size(exact.subtract(exact.of(r.reading.value, data.units[r.reading.unit]), around)), data.limits.battery.from_ambient) == "in"
}

expected contains [r, code] if {
	some r in (judged - as_stated)
	r.quantity == "torque"
	some row in terminals.torque
	some code, unit in data.units
	unit.quantity == "torque"
	tolerance.exactly(exact.of(r.reading.value, unit), row.limit) == "in"
}

expected contains [r, code] if {
	some r in (judged - as_stated)
	r.quantity == "temperature"
	some around in air
	some code, unit in data.units
	unit.quantity == "temperature"
	tolerance.exactly(exact.size(exact.subtract(exact.of(r.reading.value, unit), around)), data.limits.battery.from_ambient) == "in"
}

otherwise := {r | some [r, _] in expected}

# weighed: readings that there is something to compare with.
weighed contains r if {
	some r in judged
	r.quantity == "torque"
	count(terminals.torque) > 0
}

weighed contains r if {
	some r in judged
	r.quantity == "temperature"
	count(air) > 0
}

conforming contains "battery" if {
	battery_judged
	count(judged) > 0
	judged == weighed
	count(otherwise) == 0
}

nonconforming contains "battery" if {
	battery_judged
	count(otherwise) > 0
}

not_possible contains "battery" if {
	battery_judged
	visit.cut_off
	count(judged) == 0
}

facts[subject] contains {"name": "what", "text": sprintf("the %s of %s would fit in %s", [quantity, concat(", ", sort(named)), data.units[code].name])} if {
	some subject in subjects
	some [quantity, code], named in alike
}

# alike: what looks wrong, by its quantity and the unit that it would fit in.
alike[[r.quantity, code]] contains r.of if {
	some r in otherwise
	some [fitting, code] in expected
	fitting == r
}

facts[subject] contains {"name": "reading", "at": r.at} if {
	some subject in subjects
	some r in otherwise
}
