# METADATA
# scope: package
# title: The round was gone through to its end
# description: |
#   What was not reached was not looked at, and nobody can say that it is sound.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "The visit is said to be completed, but not every step of the round has an entry."
#   needs: "It is not said how the visit ended, or which steps this kind of visit has."
#   needs_state: "The round was not gone through to its end ({ended}); what was not reached was not judged."
#   remedy: "Complete the round, on another attendance if need be."
#   who: technician
#   concession: never
#   since: visit/1
package condition.machine.round_completed

import data.shared.visit

subjects contains "visit"

spared := set()

missing := (visit.required_steps - visit.performed) - visit.skipped

conforming contains "visit" if {
	input.visit.ended_as == "completed"
	count(visit.required_steps) > 0
	count(missing) == 0
}

nonconforming contains "visit" if {
	input.visit.ended_as == "completed"
	count(missing) > 0
}

not_possible contains "visit" if visit.cut_off

facts.visit contains {"name": "ended", "at": "/ended_as"}
