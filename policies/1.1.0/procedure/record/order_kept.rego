# METADATA
# scope: package
# title: Every step comes after those that must come first
# description: |
#   The order keeps people safe and readings true: isolated before a hand goes in, the battery read before the machine is
#   run, stop devices tried before anything moves. Steps are ordered by their place in the record; one that was left
#   undone has no place.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "{subject} ({title}) came {before}, which must come first."
#   needs: "{subject}: its place in the order is not shown, since it, a step that must come first, or the class is not known."
#   needs_state: "{subject} ({title}) was not done, so it has no place in the order."
#   remedy: Do again, in order, what the wrong order spoilt; record steps in the order in which they are done.
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package procedure.record.order_kept

import data.shared.checklist
import data.shared.steps
import data.shared.visit

# pairs: [before, after] of the class, both required on this visit.
pairs contains [p.before, p.after] if {
	some p in visit.class.precedence
	p.before in visit.required_steps
	p.after in visit.required_steps
}

# gates: pairs that keep people safe. The first three come before whatever follows them.
gates contains pair if {
	some pair in pairs
	pair[0] in {"place-safe", "isolate", "try-dead"}
}

gates contains pair if some pair in (pairs & {["protection-on", "lid-open"], ["guards-refitted", "power-back"]})

gates contains pair if some pair in (pairs & {[device, "direction"] | some device in steps.stop_devices})

# judged: the subjects, by step.
judged := {after: checklist.subject[after] | some after in afters}

afters := {after | some [_, after] in pairs}

subjects contains subject if {
	visit.attended
	some _, subject in judged
}

spared contains "nothing was attended" if visit.not_available

# last, first: places of a step in the record.
last := {s: max(places) | some s, places in steps.place}

first := {s: min(places) | some s, places in steps.place}

kept contains [before, after] if {
	some [before, after] in pairs
	last[before] < first[after]
}

swapped contains [before, after] if {
	some [before, after] in pairs
	last[before] > first[after]
}

# loose: the step before was left undone, or not reached before the visit was cut off, and keeps nobody safe.
loose contains [before, after] if {
	some [before, after] in (pairs - gates)
	before in checklist.undone
}

loose contains [before, after] if {
	visit.cut_off
	some [before, after] in (pairs - gates)
	before in checklist.missing
}

# ungated: done although what keeps people safe had not been.
ungated contains [before, after] if {
	some [before, after] in gates
	first[after] >= 0
	before in not_done
}

not_done := checklist.undone | checklist.missing

open := {after | some [_, after] in (pairs - (kept | loose))}

broken := {after | some [_, after] in (swapped | ungated)}

in_order := visit.performed - open

conforming contains judged[after] if {
	visit.attended
	some after in (in_order & afters)
}

nonconforming contains judged[after] if {
	visit.attended
	some after in (broken & afters)
}

not_possible contains judged[after] if {
	visit.attended
	some after in (checklist.undone & afters)
}

not_possible contains judged[after] if {
	visit.attended
	visit.cut_off
	some after in (checklist.missing & afters)
}

# harmless: steps whose wrong place neither endangers anybody nor spoils a reading.
harmless := {"deck-lift", "solution-flow", "vacuum", "vacuum-run-on", "pick-up", "charger-fuse", "machine-clean", "open-items", "customer-told"}

severity[judged[after]] := "minor" if some after in ((broken & harmless) - unsafe)

unsafe := {after | some [_, after] in ((swapped & gates) | ungated)}

severity[judged[after]] := "critical" if some after in unsafe

# A step that was not done is told of by what it leaves unjudged; here it weighs little.
severity[subject] := "minor" if some subject in not_possible

facts[subject] contains {"name": "title", "text": data.steps[after].title} if some after, subject in judged

facts[subject] contains {"name": "before", "text": concat(" ", ["before step", before])} if {
	some step, subject in judged
	some [before, after] in swapped
	after == step
}

facts[subject] contains {"name": "before", "text": concat(" ", ["without step", before])} if {
	some step, subject in judged
	some [before, after] in ungated
	after == step
}

facts[subject] contains {"name": "at", "at": sprintf("/steps/%d/step", [i])} if {
	some step, subject in judged
	some i, s in input.visit.steps
	s.step == step
}
