# METADATA
# scope: package
# title: Everything looked at was left sound
# description: |
#   A fault that is left stays with the people who use the machine. What was found and corrected stays visible in
#   the record.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "{subject} ({step}) was left defective{found}."
#   needs: "{subject} ({step}) has no entry that says how it was left."
#   needs_state: "{subject} ({step}) was left undone: {reason}."
#   remedy: "Correct it and look again, or raise a follow-up with owner and due date; tag the machine if it can hurt someone."
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package condition.machine.steps_left_sound

import data.shared.steps
import data.shared.visit

subjects contains concat(" ", ["step", s]) if some s in visit.required_steps

spared contains "nothing was attended" if {
	visit.not_available
	count(visit.required_steps) == 0
}

severity[concat(" ", ["step", s])] := data.steps[s].severity if some s in visit.required_steps

left[concat(" ", ["step", s.step])] contains s.left if some s in input.visit.steps

defective := {s.step | some s in input.visit.steps; s.left == "defective"}

conforming contains concat(" ", ["step", s]) if some s in ((visit.required_steps & not_skipped) - defective)

nonconforming contains concat(" ", ["step", s]) if some s in (visit.required_steps & defective)

# not_skipped: performed, and in no other entry left undone.
not_skipped := visit.performed - visit.skipped

not_possible contains subject if {
	some s, reasons in visit.skipped_for
	some reason in reasons
	reason != "not-stated"
	subject := concat(" ", ["step", s])
	subject in subjects
	count(object.get(left, subject, set())) == 0
}

not_possible contains subject if {
	visit.cut_off
	some subject in subjects
	count(object.get(left, subject, set())) == 0
}

facts[concat(" ", ["step", s])] contains {"name": "step", "text": data.steps[s].title} if some s in visit.required_steps

facts[concat(" ", ["step", s.step])] contains {"name": "at", "at": sprintf("/steps/%d/left", [i])} if some i, s in input.visit.steps

facts[concat(" ", ["step", s])] contains {"name": "reason", "text": steps.why[code]} if {
	some s, codes in visit.skipped_for
	some code in codes
}

facts[subject] contains {"name": "reason", "text": "the visit ended before it"} if {
	visit.cut_off
	some subject in subjects
	count(object.get(left, subject, set())) == 0
}

facts[concat(" ", ["step", s.step])] contains {"name": "found", "text": sprintf(" (%s)", [s.note])} if some s in input.visit.steps

facts[concat(" ", ["step", s.step])] contains {"name": "found", "text": ""} if {
	some s in input.visit.steps
	not s.note
}
