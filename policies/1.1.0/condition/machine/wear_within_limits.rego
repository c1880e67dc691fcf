# METADATA
# scope: package
# title: Brushes, blades and carbon brushes have wear left
# description: |
#   A worn brush or blade leaves dirt and water behind; a worn carbon brush ruins its motor.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "The {what} is {reading}; allowed is {allowed}."
#   needs: "[{subject}, the {what}: ]a reading by a valid instrument is needed[; allowed is {allowed}]."
#   needs_state: "{subject} (the {what}) was not measured: {reason}."
#   remedy: "Fit a new one, note the part, and measure again."
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package condition.machine.wear_within_limits

import data.shared.ranges
import data.shared.visit

subjects contains subject if some subject in object.get(ranges.wanted, "wear", set())

spared contains "nothing of this kind is measured on this visit" if {
	count(visit.requirement) > 0
	count(object.get(ranges.wanted, "wear", set())) == 0
}

severity[subject] := ranges.severity[subject] if some subject in subjects

conforming contains subject if {
	some subject in (subjects & ranges.inside)
}

nonconforming contains subject if {
	some subject in (subjects & ranges.outside)
}

not_possible contains subject if {
	some subject in (subjects & object.keys(ranges.left_out))
}

facts[subject] contains fact if {
	some subject in subjects
	some fact in ranges.facts[subject]
}
