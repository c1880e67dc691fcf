# METADATA
# scope: package
# title: Below freezing, water is added only where it cannot freeze before it is mixed in
# description: |
#   Fresh water lies on the electrolyte and freezes before the charge has mixed it in. It is added indoors, or the machine
#   is run or charged for at least an hour after.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "Water was added outdoors at {air}, below {limit}, and the machine was not run or charged for an hour after."
#   needs: Whether water was added, whether indoors, whether the machine was run after, and the air temperature by a checked instrument are needed.
#   needs_state: The visit was cut off before the cells were watered.
#   remedy: Charge for an hour at once, or bring the machine indoors; look for ice and split cases before it is used.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - A frozen battery can burst on charge; do not charge it, follow its manual and local codes, and leave it to a qualified person if in doubt.
package procedure.safety.water_in_frost

import data.shared.exact
import data.shared.instruments
import data.shared.steps
import data.shared.tolerance
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

air contains tolerance.exactly(exact.of(r.value, data.units[r.unit]), data.limits.safety.water_frost) if {
	r := input.visit.place.ambient.as_found
	instruments.usable(r, "temperature")
}

safe if input.visit.place.indoors == true

safe if input.visit.battery.watering.run_after == true

safe if input.visit.battery.watering.done == false

safe if air == {"in"}

noted contains input.visit.battery.watering.done

exposed if {
	input.visit.battery.watering.done == true
	input.visit.battery.watering.run_after == false
	input.visit.place.indoors == false
	"low" in air
}

conforming contains "visit" if {
	"visit" in subjects
	safe
}

conforming contains "visit" if {
	"visit" in subjects
	input.visit.place.lid.opened == false
	count(noted & {true}) == 0
}

nonconforming contains "visit" if {
	"visit" in subjects
	exposed
}

not_possible contains "visit" if {
	"visit" in subjects
	"battery-water" in steps.not_reached
	not input.visit.battery
	not input.visit.place.lid
}

facts[subject] contains {"name": "air", "at": "/place/ambient/as_found"} if {
	some subject in subjects
	exposed
}

facts[subject] contains {"name": "at", "at": "/place/ambient/as_found"} if {
	some subject in subjects
	exposed
}

facts[subject] contains {"name": "limit", "limit": "safety.water_frost", "bound": "min"} if some subject in subjects
