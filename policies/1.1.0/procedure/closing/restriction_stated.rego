# METADATA
# scope: package
# title: A machine left with a major defect has a restriction that says what not to do and until when
# description: |
#   Whoever uses a machine with a known defect must know what it must not be used for, and until when that holds.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "No restriction with a day still to come names what is left defective: {open}."
#   needs: "Whether a restriction is wanted cannot be told: the record does not prove how this was left: {unknown}."
#   remedy: "State what must not be done and until when, or tag the machine."
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "A machine that can hurt someone is tagged, not restricted."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package procedure.closing.restriction_stated

import data.shared.closing

import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "the machine could not be attended" if visit.not_available

restricted contains about if some about in restricted_now

# tagged: a tag goes further than a restriction.
tagged contains about if {
	some tag in input.visit.tags_placed
	some about in tag.about
}

tagged contains about if {
	some tag in input.earlier.tags
	some answer in input.visit.tags_answered
	answer.tag == tag.tag
	answer.answer == "kept"
	some about in tag.about
}

# An item carried on is named by itself or by what it is about.
restricted contains concat(" ", ["item", item.item]) if {
	some item in input.earlier.open_items
	count({about | some about in item.about} - (restricted_now | tagged)) == 0
}

restricted_now contains about if {
	some r in input.visit.restrictions
	r.until >= visit.day
	some about in r.about
}

unnamed := closing.major - (restricted | tagged)

# doubtful: what may be defective and is not named either.
doubtful := closing.unknown - (restricted | tagged)

conforming contains "visit" if {
	visit.attended
	count(closing.rules) > 0
	count(closing.asked) > 0
	count(unnamed) == 0
	count(doubtful) == 0
}

nonconforming contains "visit" if {
	visit.attended
	count(unnamed) > 0
}

facts.visit contains {"name": "open", "text": closing.named(s)} if some s in unnamed

facts.visit contains {"name": "unknown", "text": closing.named(s)} if some s in doubtful
