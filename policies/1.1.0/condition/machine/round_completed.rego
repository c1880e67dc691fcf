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
#   needs_state: "The round was not gone through to its end: {ended}. What was not reached was not judged."
#   remedy: "Complete the round, on another attendance if need be."
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
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

facts.visit contains {"name": "at", "at": "/ended_as"}

facts.visit contains {"name": "ended", "text": {"stopped-unsafe": "the visit was stopped as unsafe", "cut-short": "the visit was cut short", "not-available": "the machine was not available"}[input.visit.ended_as]}
