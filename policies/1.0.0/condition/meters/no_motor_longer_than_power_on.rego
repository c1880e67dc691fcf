# METADATA
# scope: package
# title: No motor ran longer than the machine was on
# description: |
#   A motor cannot run while the key is off. More hours on it than on the power-on meter mean swapped figures, a misread
#   display or a meter that fails. What ran since last time is compared, on a first visit the totals are, give or take a
#   display step for each difference of two readings.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: minor
#   basis: common practice
#   says: "{subject} counts {motor} {span}, the power-on meter {on}: a motor cannot run longer than the machine is on."
#   needs: "{subject}: its reading and that of the power-on meter, today and last time, are needed."
#   needs_state: "{subject} could not be compared with the power-on meter: {reason}."
#   remedy: Read both meters again; if the figures stand, have the meter that fails looked at.
#   who: technician
#   concession: lead
#   since: visit/1
package condition.meters.no_motor_longer_than_power_on

import data.shared.exact
import data.shared.hours
import data.shared.visit

motors := {m | some m in visit.class.meters; "power-on" in visit.class.meters} - {"power-on"}

subjects contains concat(" ", ["meter", m]) if {
	"meters" in visit.areas
	some m in motors
}

spared contains reason if some reason in (out_of_scope | alone)

out_of_scope := {"the meters are not in the scope of this visit" | "meters" in visit.out_of_scope}

alone := {"the class has no meter of a motor beside a power-on meter" | some _ in visit.class.meters; count(motors) == 0}

# spans: what a motor and the power-on meter counted, and how far the two may be off each other.
spans[meter] contains {"motor": motor, "on": on, "slack": exact.add(hours.slack[meter], hours.slack["power-on"]), "span": "since last time"} if {
	some meter in motors
	some motor in hours.since[meter]
	some on in hours.since["power-on"]
}

spans[meter] contains {"motor": motor, "on": on, "slack": hours.step, "span": "in all"} if {
	new_here
	some meter in (motors - changed)
	count(changed & {"power-on"}) == 0
	some motor in hours.now[meter]
	some on in hours.now["power-on"]
}

changed contains c.meter if some c in input.visit.meter_changes

new_here if {
	count(input.earlier.meters) == 0
	input.visit.first_visit == true
}

conforming contains subject if {
	some meter, found in spans
	{exact.at_least(exact.add(s.on, s.slack), s.motor) | some s in found} == {true}
	subject := concat(" ", ["meter", meter])
	subject in subjects
}

nonconforming contains subject if {
	some meter, found in spans
	some s in found
	exact.above(s.motor, exact.add(s.on, s.slack))
	subject := concat(" ", ["meter", meter])
	subject in subjects
}

not_possible contains subject if some subject, _ in why_not

why_not[subject] contains reason if {
	some subject, reasons in hours.not_had
	subject in subjects
	some reason in reasons
}

why_not[subject] contains concat(" ", [reason, "(the power-on meter)"]) if {
	some subject in subjects
	some reason in (hours.not_had["meter power-on"] - object.get(hours.not_had, subject, set()))
}

why_not[subject] contains "a meter was replaced, so totals cannot be compared" if {
	new_here
	some meter in motors
	count(changed & {meter, "power-on"}) > 0
	subject := concat(" ", ["meter", meter])
	subject in subjects
}

facts[concat(" ", ["meter", meter])] contains {"name": "motor", "number": s.motor[0], "scale": s.motor[1] * 3600, "place": 1, "unit": "h"} if {
	some meter, found in spans
	some s in found
}

facts[concat(" ", ["meter", meter])] contains {"name": "on", "number": s.on[0], "scale": s.on[1] * 3600, "place": 1, "unit": "h"} if {
	some meter, found in spans
	some s in found
}

facts[concat(" ", ["meter", meter])] contains {"name": "span", "text": s.span} if {
	some meter, found in spans
	some s in found
}

facts[concat(" ", ["meter", meter])] contains {"name": "at", "at": pointer} if {
	some meter, pointers in hours.at
	some pointer in pointers
}

facts[subject] contains {"name": "reason", "text": reason} if {
	some subject, reasons in why_not
	some reason in reasons
}
