# METADATA
# scope: package
# title: The deck moves in its time and presses as it should
# description: |
#   A deck that sinks too slowly or presses too hard at the lowest setting wastes charge and wears floor and
#   brushes.
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
#   remedy: "Adjust by the machine's manual and measure again."
#   who: technician
#   concession: lead
#   cautions:
#     - "Keep people clear of a machine under test; follow its manual."
#   since: visit/1
package condition.machine.deck_within_limits

import data.shared.ranges
import data.shared.visit

subjects contains subject if some subject in object.get(ranges.wanted, "deck", set())

spared contains "nothing of this kind is measured on this visit" if {
	count(visit.requirement) > 0
	count(object.get(ranges.wanted, "deck", set())) == 0
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
