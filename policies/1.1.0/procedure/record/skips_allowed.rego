# METADATA
# scope: package
# title: What was left undone was left for a reason that counts
# description: |
#   Some steps may wait for a charge, a key or a part; those that keep people safe never may. A reason that is not stated
#   is none, and a visit that is said to be completed reached all of its steps.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "{subject} ({title}) was left undone {reason}; that is no reason to leave it."
#   needs: "{subject}: the record does not say whether it was done, or which steps the visit requires."
#   needs_state: "{subject} ({title}) was not reached before the visit was cut off."
#   remedy: Do the step; where it cannot be done, say why and set a follow-up.
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package procedure.record.skips_allowed

import data.shared.checklist
import data.shared.steps
import data.shared.visit

subjects contains subject if {
	visit.attended
	some _, subject in checklist.subject
}

spared contains "nothing was attended" if visit.not_available

# left_out: the entries of the record that do not say that a step was performed, by place; allowed: those of them that
# are in order; cut: those left undone because the visit was cut off.
left_out := {i: s |
	some i in ({i | some i, _ in input.visit.steps} - union({places | some places in steps.place}))
	s := input.visit.steps[i]
}

allowed contains i if {
	some i, s in left_out
	s.skipped.reason in data.steps[s.step].may_skip
	s.skipped.reason in {"not-charged", "no-access", "no-part", "customer-declined", "unsafe", "no-time"}
}

cut contains i if {
	visit.cut_off
	some i, s in left_out
	s.skipped.reason in {"not-reached", "unsafe"}
}

in_order := (visit.performed | {left_out[i].step | some i in allowed}) - {s.step | some i, s in left_out; i in unsound}

unsound := object.keys(left_out) - allowed

unreached := {left_out[i].step | some i in (cut - allowed)} - refused

refused := {left_out[i].step | some i in (unsound - cut)}

conforming contains checklist.subject[s] if {
	visit.attended
	some s in (in_order & visit.required_steps)
}

nonconforming contains checklist.subject[s] if {
	visit.attended
	some s in (refused & visit.required_steps)
}

not_possible contains checklist.subject[s] if {
	visit.attended
	some s in (unreached & visit.required_steps)
}

not_possible contains checklist.subject[s] if {
	visit.attended
	visit.cut_off
	some s in (checklist.missing & visit.required_steps)
}

severity[checklist.subject[s]] := "critical" if some s in (checklist.never_left & visit.required_steps)

facts[subject] contains {"name": "title", "text": data.steps[s].title} if some s, subject in checklist.subject

words := {
	"not-charged": "because the battery was not charged",
	"no-access": "for want of access",
	"no-part": "for want of a part",
	"customer-declined": "because the customer declined",
	"unsafe": "because it was unsafe",
	"not-reached": "because it was not reached, although the visit was completed",
	"no-time": "for want of time",
	"not-stated": "without a reason",
}

facts[subject] contains {"name": "reason", "text": words[s.skipped.reason]} if {
	some step, subject in checklist.subject
	some s in input.visit.steps
	s.step == step
}

facts[subject] contains {"name": "at", "at": sprintf("/steps/%d/step", [i])} if {
	some step, subject in checklist.subject
	some i, s in input.visit.steps
	s.step == step
}
