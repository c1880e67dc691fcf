# METADATA
# title: Each cell reads the gravity of a full charge
# description: A cell that stays below it is not full, or is worn out.
# related_resources:
#   - ref: https://example.com/batteries
#     description: an invented manual
#   - ref: TM 0-000, table 2
#     description: another
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   says: "{subject} reads {gravity}, at least {limit} is asked for"
#   needs: a reading of {subject}
#   remedy: charge again, then measure again
#   who: technician
#   concession: lead
#   cautions:
#     - acid burns
#   since: visit/1
package condition.battery.full_charge_gravity

import data.shared.exact
import data.shared.visit

subjects contains concat("", ["cell B1.", format_int(n, 10)]) if {
	visit.class.battery.type == "flooded"
	some n in numbers.range(1, visit.class.battery.cells_each)
}

spared contains "the pack is sealed" if visit.class.battery.type == "sealed"

gravity[concat(" ", ["cell", c.cell])] contains c.gravity.as_left if some c in input.visit.battery.cells

gravity[concat(" ", ["cell", c.cell])] contains c.gravity.as_found if {
	some c in input.visit.battery.cells
	not c.gravity.as_left
}

limit := exact.nano(data.limits.battery.full_charge_gravity.min)

state(value) := "in" if exact.nano(value) >= limit

state(value) := "out" if exact.nano(value) < limit

conforming contains s if {
	some s, readings in gravity
	{state(r.value) | some r in readings} == {"in"}
}

nonconforming contains s if {
	some s, readings in gravity
	some r in readings
	state(r.value) == "out"
}

facts[concat(" ", ["cell", c.cell])] contains {"name": "gravity", "at": sprintf("/battery/cells/%d/gravity/as_found", [i])} if {
	some i, c in input.visit.battery.cells
}

facts[s] contains {"name": "limit", "limit": "battery.full_charge_gravity", "bound": "min"} if some s in subjects
