# METADATA
# scope: package
# title: Every step of the round stands in the record
# description: |
#   A step that is not spoken of was forgotten or not done, and nobody can tell which. One that was left undone is
#   recorded too, with its reason.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "{subject} ({title}) stands nowhere in the record."
#   needs: "The class, kind and level of the visit must be known before it is known which steps it requires."
#   needs_state: "{subject} ({title}) was not reached: the visit ended before its round was through."
#   remedy: Do the step, or record why it was left undone; never fill it in from memory.
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package procedure.record.steps_recorded

import data.shared.checklist
import data.shared.steps
import data.shared.visit

subjects contains subject if {
	visit.attended
	some _, subject in checklist.subject
}

spared contains "nothing was attended" if visit.not_available

conforming contains subject if {
	visit.attended
	some s, subject in checklist.subject
	s in steps.recorded
}

nonconforming contains subject if {
	input.visit.ended_as == "completed"
	some s, subject in checklist.subject
	s in checklist.missing
}

not_possible contains subject if {
	visit.attended
	visit.cut_off
	some s, subject in checklist.subject
	s in checklist.missing
}

severity[subject] := "critical" if {
	some s, subject in checklist.subject
	s in checklist.never_left
}

facts[subject] contains {"name": "title", "text": data.steps[s].title} if some s, subject in checklist.subject
