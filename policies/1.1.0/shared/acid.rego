# METADATA
# title: Acid
# description: |
#   Whether acid was handled on the visit: gravity taken, the battery cleaned, acid found in the box. Looking at levels
#   and adding water is no handling of acid (29 CFR 1917.157(i)).
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.acid

import data.shared.visit

# steps_with: steps in which acid is handled.
steps_with := {"cell-gravity", "battery-clean"}

handled if {
	count(visit.required_steps & steps_with) > 0
	input.visit.place.lid.opened == true
}

handled if count(visit.performed & steps_with) > 0

handled if {
	input.visit.battery.box.acid in {"traces", "pool"}
	input.visit.place.lid.opened == true
}

# none_handled: proven, by a lid that stayed shut or by a round that asks for no such step and found none.
none_handled if {
	input.visit.place.lid.opened == false
	count(visit.performed & steps_with) == 0
}

none_handled if {
	count(visit.required_steps & steps_with) == 0
	count(visit.performed & steps_with) == 0
	input.visit.battery.box.acid == "none"
}
