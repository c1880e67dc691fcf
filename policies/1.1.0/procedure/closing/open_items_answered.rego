# METADATA
# scope: package
# title: Every open item of earlier visits has an answer
# description: |
#   An item that a visit passes over is an item that is forgotten.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "{subject}: {what}"
#   needs: "It is not known which items are open."
#   remedy: "Close it with evidence, keep it with a new day, or hand it over by name. One carried a third time goes to the lead."
#   who: technician
#   concession: lead
#   since: visit/1
package procedure.closing.open_items_answered

import data.shared.visit

subjects contains concat(" ", ["item", item.item]) if {
	visit.attended
	some item in input.earlier.open_items
}

spared contains "no item is open" if count(input.earlier.open_items) == 0

spared contains "the machine could not be attended" if visit.not_available

answers[concat(" ", ["item", a.item])] contains a.answer if some a in input.visit.open_items_answered

# late: kept with a day that has already gone; worn: kept for the third time or more.
late contains concat(" ", ["item", a.item]) if {
	some a in input.visit.open_items_answered
	a.answer == "kept"
	a.due < visit.day
}

worn contains concat(" ", ["item", item.item]) if {
	some item in input.earlier.open_items
	some a in input.visit.open_items_answered
	a.item == item.item
	a.answer == "kept"
	item.times_carried + 1 > data.limits.visit.times_carried.max
}

severity[subject] := "minor" if some subject in (worn - late)

conforming contains subject if {
	some subject in subjects
	answers[subject]
	subject in (subjects - (late | worn))
}

nonconforming contains subject if {
	some subject in subjects
	count(object.get(answers, subject, set())) == 0
}

nonconforming contains subject if some subject in (subjects & (late | worn))

facts[subject] contains {"name": "what", "text": "no answer was given."} if {
	some subject in subjects
	count(object.get(answers, subject, set())) == 0
}

facts[subject] contains {"name": "what", "text": "kept with a day that has gone."} if some subject in late

facts[subject] contains {"name": "what", "text": "carried for the third time or more; it goes to the lead."} if some subject in worn
