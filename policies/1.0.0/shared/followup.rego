# METADATA
# title: Follow-ups
# description: |
#   followed_up, read by the engine: the subjects that a follow-up raised on this visit, or an open item kept or handed
#   over on it, answers. A subject is answered by its own name alone.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.followup

followed_up contains subject if {
	some f in input.visit.follow_ups
	some subject in f.about
}

followed_up contains subject if {
	some answer in input.visit.open_items_answered
	answer.answer in {"kept", "handed-over"}
	subject := concat(" ", ["item", answer.item])
}

followed_up contains subject if {
	some answer in input.visit.open_items_answered
	answer.answer in {"kept", "handed-over"}
	some item in input.earlier.open_items
	item.item == answer.item
	some subject in item.about
}

# conditions: every condition rule by name, with its severity in the catalogue.
conditions[concat(".", ["condition", area, name])] := {"area": area, "name": name, "severity": data.catalogue.rules[concat(".", ["condition", area, name])].severity} if {
	some area, name
	data.condition[area][name].subjects
}
