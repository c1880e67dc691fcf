# METADATA
# scope: package
# title: Neutraliser is at hand where acid is handled
# description: |
#   Spilt acid eats floor, frame and shoes. A pound of bicarbonate of soda to a gallon of water stands ready before acid
#   is handled.
# related_resources:
#   - ref: urn:text:29-CFR-1926.441-a-7
#     description: facilities for flushing and neutralising spilt electrolyte (construction)
#   - ref: urn:text:TM-10-6140-200-14
#     description: 1 lb bicarbonate of soda to 1 gal of water
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   says: No neutraliser was at hand while acid was handled.
#   needs: Whether neutraliser was at hand is needed where acid is handled.
#   needs_state: The visit was cut off before the lid was opened.
#   remedy: Mix a pound of bicarbonate of soda to a gallon of water, about 120 g a litre, and set it by the machine first.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - Neutraliser must not get into a cell, and it foams on acid; follow the battery's manual and local codes.
package procedure.safety.neutraliser_at_hand

import data.shared.acid
import data.shared.steps
import data.shared.visit

subjects contains "visit" if {
	visit.attended
	visit.class.battery.type == "flooded"
}

spared contains "nobody attended the machine" if visit.not_available

spared contains "a sealed pack gives no acid to handle" if {
	visit.attended
	visit.class.battery.type == "sealed"
}

conforming contains "visit" if {
	"visit" in subjects
	input.visit.place.neutraliser_at_hand == true
}

conforming contains "visit" if {
	"visit" in subjects
	acid.none_handled
}

nonconforming contains "visit" if {
	"visit" in subjects
	acid.handled
	input.visit.place.neutraliser_at_hand == false
}

not_possible contains "visit" if {
	"visit" in subjects
	"lid-open" in steps.not_reached
	not input.visit.place
	not acid.handled
}

facts[subject] contains {"name": "at", "at": "/place/neutraliser_at_hand"} if {
	some subject in subjects
	input.visit.place.neutraliser_at_hand == false
}
