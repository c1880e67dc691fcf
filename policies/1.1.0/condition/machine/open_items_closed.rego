# METADATA
# scope: package
# title: Every item left open by earlier visits is closed
# description: |
#   A fault that an earlier visit left open is still there until a visit closes it with evidence.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "{subject} of visit {from} is still open: {what}."
#   needs: "{subject} of visit {from} has no answer: {what}."
#   remedy: "Put it right, look again and close the item with evidence."
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package condition.machine.open_items_closed

import data.shared.followup

subjects contains concat(" ", ["item", item.item]) if some item in input.earlier.open_items

spared contains "no item is open" if count(input.earlier.open_items) == 0

severity[concat(" ", ["item", item.item])] := item.severity if some item in input.earlier.open_items

conforming contains subject if {
	some item in followup.closed
	subject := concat(" ", ["item", item])
	subject in subjects
}

nonconforming contains subject if {
	some answer in input.visit.open_items_answered
	answer.answer in {"kept", "handed-over"}
	subject := concat(" ", ["item", answer.item])
	subject in subjects
}

facts[concat(" ", ["item", item.item])] contains {"name": "what", "text": item.what} if some item in input.earlier.open_items

facts[concat(" ", ["item", item.item])] contains {"name": "from", "text": item.raised_in} if some item in input.earlier.open_items

facts[concat(" ", ["item", answer.item])] contains {"name": "at", "at": sprintf("/open_items_answered/%d/answer", [i])} if some i, answer in input.visit.open_items_answered
