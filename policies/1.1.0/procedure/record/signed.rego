# METADATA
# scope: package
# title: The technician signed after the work and before leaving
# description: |
#   Who signs before the work is over signs for what was not done yet. The customer's signature is not required: that they
#   refused, or that nobody was there, is an answer too.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "The record is not signed as it should be: {what}."
#   needs: "It is needed when the work was over, to tell whether it was signed after it: the record does not say when power came back."
#   remedy: The technician reads the record through and signs it at the end of the visit.
#   who: technician
#   concession: lead
#   since: visit/1
package procedure.record.signed

import data.shared.times
import data.shared.visit

subjects contains "visit"

spared := set()

people contains p.id if some p in input.visit.people

signed_at := times.at(input.visit.signatures.technician.at)

# over: it is told when power came back, or it is stated why it did not; else nobody knows when the work was over.
over if times.power_back

over if input.visit.place.power_back.done == false

over if visit.cut_off

# work: moments at which work was still going on. Where power did not come back, the isolation outlasts the visit.
work contains times.started

work contains times.made_safe

work contains times.lid_shut

work contains times.protected_to

work contains times.gravity

work contains times.watered

work contains times.power_back

work contains times.at(s.at) if {
	some s in input.visit.steps
	data.steps[s.step].area != "close"
}

problems contains {"what": "who signed is not among the people of the visit", "at": "/signatures/technician/by"} if not input.visit.signatures.technician.by in people

problems contains {"what": "it was signed while work was still to be done", "at": "/signatures/technician/at"} if signed_at < max(work)

problems contains {"what": "it was signed after the visit", "at": "/signatures/technician/at"} if signed_at > times.ended

conforming contains "visit" if {
	input.visit.signatures.technician.by in people
	over
	signed_at >= max(work)
	signed_at <= times.ended
	input.visit.signatures.customer.answer in {"signed", "refused", "nobody-there"}
}

nonconforming contains "visit" if count(problems) > 0

facts[subject] contains {"name": "what", "text": p.what} if {
	some subject in subjects
	some p in problems
}

facts[subject] contains {"name": "at", "at": p.at} if {
	some subject in subjects
	some p in problems
}
