# METADATA
# scope: package
# title: Deck or tank stands on a support before a hand goes under it
# description: |
#   A deck held up by its actuator, or a tank by its latch alone, can drop on a hand.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   basis: common practice
#   says: A hand went under the deck or the tank before it stood on a support.
#   needs: Whether deck and tank stood on a support before a hand went under them is needed.
#   needs_state: The visit was cut off before the deck and the tanks were reached.
#   remedy: Set the deck or tank on a stand that bears its weight, try that it does not give, then reach under it.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - Deck and tanks are heavy; a jack or an actuator alone is no support. Follow the machine's manual, and leave it to a qualified person if in doubt.
package procedure.safety.deck_supported

import data.shared.steps
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nobody attended the machine" if visit.not_available

conforming contains "visit" if {
	"visit" in subjects
	input.visit.place.deck_on_stand == true
}

nonconforming contains "visit" if {
	"visit" in subjects
	input.visit.place.deck_on_stand == false
}

# Without a word on the place: cut off before the machine was isolated, nobody reached under anything.
not_possible contains "visit" if {
	"visit" in subjects
	"isolate" in steps.not_reached
	not input.visit.place
}

facts[subject] contains {"name": "at", "at": "/place/deck_on_stand"} if {
	some subject in subjects
	input.visit.place.deck_on_stand == false
}
