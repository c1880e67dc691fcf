# METADATA
# title: Gates that need no time
# description: |
#   Gravity and water are gates: each has its time, or the record shows that there was none to have. Silence shows
#   nothing.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.gates

import data.shared.visit

# not_needed: "gravity" where none was taken, "water" where none was added, as the record says.
not_needed contains "gravity" if visit.class.battery.type == "sealed"

not_needed contains "gravity" if input.visit.place.lid.opened == false

not_needed contains "gravity" if "cell-gravity" in visit.skipped

not_needed contains "gravity" if {
	count(input.visit.battery.cells) > 0
	count([c | some c in input.visit.battery.cells; c.gravity.not_obtained]) == count(input.visit.battery.cells)
}

not_needed contains "water" if input.visit.place.lid.opened == false

not_needed contains "water" if input.visit.battery.watering.done == false
