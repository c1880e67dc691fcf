# METADATA
# scope: package
# title: A full round took as long as a full round takes
# description: |
#   Seventy steps are not done in twenty minutes. A length that is out of the ordinary is a question to the lead and never
#   alone a reason to reject; two people halve the time by the clock, so person-minutes are counted.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: minor
#   says: "The full round took {minutes}, all who were there counted together; from {least} to {most} is usual."
#   needs: "When the people came and left is needed to tell how long the round took."
#   remedy: Ask the technician how the time was spent; correct the times if they are wrong.
#   who: lead
#   concession: lead
#   since: visit/1
package procedure.record.length_plausible

import data.shared.times
import data.shared.tolerance

full if {
	input.visit.kind == "service"
	input.visit.service_level == "full"
	input.visit.ended_as == "completed"
}

subjects contains "visit" if full

spared contains "only a completed full service has a usual length" if not full

# spent: how long each person was there during the visit, in nanoseconds.
spent := [max([0, min([times.ended, times.at(p.present_to)]) - max([times.started, times.at(p.present_from)])]) |
	some p in input.visit.people
]

length := tolerance.exactly([sum(spent), 1000000000], data.limits.visit.length_full)

conforming contains "visit" if {
	full
	count(spent) == count(input.visit.people)
	length == "in"
}

nonconforming contains "visit" if {
	full
	length in {"low", "high"}
}

facts[subject] contains {"name": "minutes", "number": sum(spent), "scale": times.minute, "place": 0, "unit": "min"} if some subject in subjects

facts[subject] contains {"name": "least", "limit": "visit.length_full", "bound": "min"} if some subject in subjects

facts[subject] contains {"name": "most", "limit": "visit.length_full", "bound": "max"} if some subject in subjects
