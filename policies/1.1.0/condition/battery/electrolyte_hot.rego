# METADATA
# scope: package
# title: No electrolyte is dangerously hot
# description: |
#   Hot electrolyte gasses, boils over and ruins plates; a battery that heats on its own may be in thermal runaway. Work
#   stops, the place is aired, and nothing is done to it until it is cool.
# related_resources:
#   - ref: urn:text:NAVEDTRA-14113
#     description: "Storage batteries, never above 125 °F in any cell while charging. That 125 itself is too hot is common practice."
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   says: "The electrolyte of {subject} is at {temperature}; from {limit} up nothing is done to a battery."
#   needs: "{subject}: an electrolyte temperature by a valid thermometer, of the cell or its block, is needed."
#   needs_state: "The electrolyte of {subject} could not be judged for heat: {reason}."
#   remedy: Stop, switch the charger off at the mains, air the place, keep people away and let it cool; then a specialist finds the cause.
#   who: specialist
#   concession: never
#   cautions:
#     - "A hot battery gives off hydrogen and may spit acid: no spark, no flame, and no cap or plug is touched."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.electrolyte_hot

import data.shared.battery
import data.shared.exact
import data.shared.visit

subjects contains cell if {
	visit.flooded
	some cell in battery.cells
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

limit := exact.of(data.limits.battery.electrolyte_hot.max, data.units[data.limits.battery.electrolyte_hot.unit])

places[cell] contains "hot" if {
	some cell, readings in battery.temperature
	some t in readings
	exact.at_least(t.q, limit)
}

places[cell] contains "cool" if {
	some cell, readings in battery.temperature
	some t in readings
	exact.above(limit, t.q)
}

# too_hot: cells said to have been too hot to be read, themselves or their block, and not read again.
too_hot contains concat(" ", ["cell", c.cell]) if {
	some c in input.visit.battery.cells
	c.temperature.not_obtained.reason == "hot"
	not c.temperature.as_left
}

too_hot contains cell if {
	some b in input.visit.battery.blocks
	b.temperature.not_obtained.reason == "hot"
	not b.temperature.as_left
	some cell, block in battery.block_of
	block == concat(" ", ["block", b.block])
}

conforming contains cell if {
	some cell, {"cool"} in places
	cell in (subjects - too_hot)
}

# A cell at the limit fails.
nonconforming contains cell if {
	some cell, where in places
	"hot" in where
	cell in subjects
}

nonconforming contains cell if some cell in (too_hot & subjects)

not_possible contains cell if {
	some cell, _ in battery.no_temperature
	cell in (subjects - too_hot)
}

facts[cell] contains fact if {
	some cell, told in battery.temperature_facts
	some fact in told
}

facts[cell] contains {"name": "temperature", "text": "a temperature too hot to be read"} if some cell in too_hot

facts[cell] contains {"name": "limit", "limit": "battery.electrolyte_hot", "bound": "max"} if some cell in subjects
