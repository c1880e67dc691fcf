# METADATA
# scope: package
# title: Each motor ran its usual share of the hours
# description: |
#   A motor that runs much more or less than usual tells of odd use, or of a meter or relay at fault.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: minor
#   says: "{subject}: {share} of the power-on hours since last time, usual is {usual}."
#   needs: "{subject}: its hours and the power-on hours now and last time are needed."
#   remedy: "Ask how the machine is used; look at the meter and at the relay of the motor."
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Isolate the machine before its wiring is opened; its pack stays live with the key off."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package programme.duty.usual_share

import data.shared.exact
import data.shared.hours
import data.shared.visit

subjects contains concat(" ", ["meter", row.meter]) if {
	count(input.earlier.meters) > 0
	"meters" in visit.areas
	some row in visit.class.duty
}

spared contains "no earlier visit has its meters read" if count(input.earlier.meters) == 0

spared contains "meters are not in the scope of this visit" if {
	count(input.earlier.meters) > 0
	"meters" in visit.out_of_scope
}

# band: a share in per cent is held against the class's band without dividing: 100 x motor against share x power-on.
places[concat(" ", ["meter", row.meter])] contains place if {
	some row in visit.class.duty
	some motor in hours.since[row.meter]
	some on in hours.since["power-on"]
	on[0] > 0
	place := {
		"low": exact.above(exact.times(on, exact.number(row.min)), exact.times(motor, [100, 1])),
		"high": exact.above(exact.times(motor, [100, 1]), exact.times(on, exact.number(row.max))),
	}
}

conforming contains subject if {
	some subject in subjects
	places[subject] == {{"low": false, "high": false}}
}

nonconforming contains subject if {
	some subject in subjects
	some place in places[subject]
	true in {place.low, place.high}
}

facts[concat(" ", ["meter", row.meter])] contains {"name": "share", "number": (motor[0] * on[1]) * 100, "scale": on[0] * motor[1], "place": 1, "unit": "%"} if {
	some row in visit.class.duty
	some motor in hours.since[row.meter]
	some on in hours.since["power-on"]
	on[0] > 0
}

facts[concat(" ", ["meter", row.meter])] contains {"name": "usual", "text": sprintf("%v to %v %%", [row.min, row.max])} if some row in visit.class.duty
