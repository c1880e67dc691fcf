# METADATA
# scope: package
# title: Only distilled or deionised water goes into a cell, never acid
# description: |
#   What tap water carries stays in the cell and builds up with every topping up. Acid in place of water hides a weak
#   cell and eats its plates; it is only ever adjusted by those who are authorised to.
# related_resources:
#   - ref: urn:text:ZVEI-leaflet-3e
#     description: distilled or deionised water for topping up, purer than for filling with acid
#   - ref: urn:text:NAVEDTRA-14344
#     description: acid is added by authorised people alone
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   says: "{grade} was added to the cells; only distilled or deionised water is."
#   needs: What was added to the cells is needed.
#   needs_state: The visit was cut off before the cells were watered.
#   remedy: Use distilled or deionised water alone. Where acid or tap water went in, tag the machine or follow it up, and let a specialist judge the battery.
#   who: specialist
#   concession: never
#   since: visit/1
#   cautions:
#     - Never add acid to a cell; follow the battery's manual and local codes, and leave it to a qualified person if in doubt.
package procedure.safety.water_grade

import data.shared.steps
import data.shared.visit

subjects contains "visit" if {
	visit.attended
	visit.class.battery.type == "flooded"
}

spared contains "nobody attended the machine" if visit.not_available

spared contains "a sealed pack takes no water" if {
	visit.attended
	visit.class.battery.type == "sealed"
}

# added: what is known to have been added; a grade that is unknown is no evidence either way.
added contains input.visit.battery.watering.grade if input.visit.battery.watering.done == true

conforming contains "visit" if {
	"visit" in subjects
	added == {"distilled"}
}

conforming contains "visit" if {
	"visit" in subjects
	added == {"deionised"}
}

conforming contains "visit" if {
	"visit" in subjects
	input.visit.battery.watering.done == false
}

conforming contains "visit" if {
	"visit" in subjects
	count(added) == 0
	input.visit.place.lid.opened == false
}

nonconforming contains "visit" if {
	"visit" in subjects
	count(added & {"tap", "acid"}) > 0
}

not_possible contains "visit" if {
	"visit" in subjects
	"battery-water" in steps.not_reached
	not input.visit.battery
	not input.visit.place.lid
}

severity[subject] := "critical" if {
	some subject in subjects
	"acid" in added
}

grade := {"tap": "tap water", "acid": "acid", "unknown": "something unknown", "distilled": "distilled water", "deionised": "deionised water"}

facts[subject] contains {"name": "grade", "text": grade[g]} if {
	some subject in subjects
	some g in added
}

facts[subject] contains {"name": "at", "at": "/battery/watering/grade"} if {
	some subject in subjects
	count(added) > 0
}
