# METADATA
# title: Follow-ups
# description: |
#   followed_up, read by the engine: the subjects that a follow-up raised on this visit, or an open item kept or handed
#   over on it, answers. A subject is answered by its own name; an item by itself and by what it is about; a tag by being
#   kept, or by follow-ups about everything it stands for.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.followup

followed_up contains subject if some subject in named

followed_up contains concat(" ", ["item", answer.item]) if {
	some answer in input.visit.open_items_answered
	answer.answer in {"kept", "handed-over"}
}

followed_up contains concat(" ", ["tag", answer.tag]) if {
	some answer in input.visit.tags_answered
	answer.answer == "kept"
}

followed_up contains concat(" ", ["tag", tag.tag]) if {
	some tag in input.visit.tags_placed
	count({about | some about in tag.about} - named) == 0
}

# named: what a follow-up of today, or an item kept or handed over today, is about.
named contains subject if {
	some f in input.visit.follow_ups
	some subject in f.about
}

named contains subject if {
	some answer in input.visit.open_items_answered
	answer.answer in {"kept", "handed-over"}
	some item in input.earlier.open_items
	item.item == answer.item
	some subject in item.about
}

# told_about: the subjects somebody responsible was told about on the day of the visit, whatever they answered. A night
# round has two days.
told_about contains t.about if {
	some t in input.visit.told
	substring(t.at, 0, 10) in {substring(input.visit.started, 0, 10), substring(input.visit.ended, 0, 10)}
}

# closed: items of earlier visits closed today with evidence.
closed contains answer.item if {
	some answer in input.visit.open_items_answered
	answer.answer == "closed"
	answer.evidence
}
