# METADATA
# scope: package
# title: Solution flows at the class's rate
# description: |
#   Too little solution scrubs dry, too much overruns the squeegee and leaves a slippery floor.
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
#   needs: "{subject}: the {what}, by a valid instrument, is needed; allowed is {allowed}."
#   needs_state: "{subject} was not measured: {reason}."
#   remedy: "Clean filter and valve, adjust, and measure again."
#   who: technician
#   concession: lead
#   since: visit/1
package condition.machine.flow_within_limits

import data.shared.ranges
import data.shared.visit

subjects contains subject if some subject in object.get(ranges.wanted, "flow", set())

spared contains "nothing of this kind is measured on this visit" if {
	count(visit.requirement) > 0
	count(object.get(ranges.wanted, "flow", set())) == 0
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
