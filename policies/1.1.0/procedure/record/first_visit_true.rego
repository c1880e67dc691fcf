# METADATA
# scope: package
# title: A first visit is the first, and a later one has those before it
# description: |
#   Without the visits before it nothing can be compared: hours, gravities, open items, tags. Where none are known the
#   record must say that it is the first, and where some are it cannot be.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: minor
#   says: "The record says that this is the machine's first visit, but {earlier} is earlier."
#   needs: "This is not the machine's first visit, and none before it was given; nothing could be compared."
#   remedy: Give the earlier visits of the machine along, or correct the record.
#   who: lead
#   concession: lead
#   since: visit/1
package procedure.record.first_visit_true

subjects contains "visit"

spared := set()

conforming contains "visit" if {
	input.visit.first_visit == true
	count(input.earlier.last_visit) == 0
}

conforming contains "visit" if {
	input.visit.first_visit == false
	count(input.earlier.last_visit) > 0
}

nonconforming contains "visit" if {
	input.visit.first_visit == true
	count(input.earlier.last_visit) > 0
}

facts[subject] contains {"name": "earlier", "text": concat(" ", ["visit", v.id])} if {
	some subject in subjects
	some v in input.earlier.last_visit
}

facts[subject] contains {"name": "at", "at": "/first_visit"} if some subject in subjects
