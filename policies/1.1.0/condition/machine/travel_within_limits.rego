# METADATA
# scope: package
# title: Speeds and braking are what the class allows
# description: |
#   A machine that is faster, or stops later, than its class allows hits people and walls; one that is slower hides
#   a fault.
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
#   remedy: "Adjust by the machine's manual and measure again; if it does not come right, tag the machine."
#   who: technician
#   concession: never
#   cautions:
#     - "Keep people clear of a machine under test; follow its manual."
#   since: visit/1
package condition.machine.travel_within_limits

import data.shared.ranges

subjects contains subject if some subject in object.get(ranges.wanted, "travel", set())

spared := set()

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
