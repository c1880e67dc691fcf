# METADATA
# scope: package
# title: No cell has fallen since last time
# description: |
#   A cell that reads less at each full charge is wearing out or not being charged to the end. Today's gravity as found is
#   compared with the gravity that the earlier visit left, for the same block, both taken full, mixed and at level. A
#   replaced block has no past to be compared with, so its cells are not judged.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: minor
#   basis: common practice
#   says: "{subject} has fallen by {fall} since last time: {before} as left then, {now} as found now, both at {reference} ({then} and {reading} as read). Up to {limit} is usual; more than {limit_major} is grave."
#   needs: "{subject}: its gravity today as found and last time as left, both by a valid hydrometer, full and at level, and the serial of its block on both days are needed."
#   needs_state: "{subject} could not be compared with last time: {reason}."
#   remedy: Look at the charge log, give an equalising charge and read again; a cell that goes on falling needs a specialist.
#   who: technician
#   concession: lead
#   cautions:
#     - "Charging gives off hydrogen: caps in, cover open, room aired, no spark or flame."
#     - "Follow the battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.gravity_fall

import data.shared.battery
import data.shared.bias
import data.shared.electrolyte
import data.shared.exact
import data.shared.reasons
import data.shared.visit

subjects contains cell if {
	visit.flooded
	count(new_here) == 0
	some cell, block in battery.block_of
	block in (battery.blocks - object.keys(battery.replaced))
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

spared contains reason if {
	visit.flooded
	some reason in new_here
}

spared contains concat("", ["the block was replaced on ", day]) if {
	visit.flooded
	count(new_here) == 0
	count(battery.blocks - object.keys(battery.replaced)) == 0
	some days in battery.replaced
	some day in days
}

new_here contains "this is the first visit to the machine" if {
	input.visit.first_visit == true
	count(input.earlier.battery) == 0
}

# same, other: blocks whose serial is that of last time, and blocks whose serial is not.
same contains concat(" ", ["block", now.block]) if {
	some e in input.earlier.battery
	some before in e.battery.blocks
	some now in input.visit.battery.blocks
	now.block == before.block
	now.serial == before.serial
}

other contains concat(" ", ["block", now.block]) if {
	some e in input.earlier.battery
	some before in e.battery.blocks
	some now in input.visit.battery.blocks
	now.block == before.block
	now.serial != before.serial
}

limit := exact.difference(data.limits.battery.fall_minor.max, data.units[data.limits.battery.fall_minor.unit])

limit_major := exact.difference(data.limits.battery.fall_major.max, data.units[data.limits.battery.fall_major.unit])

# falls: how far each cell has fallen, where both readings were taken in a state that they can be compared in.
falls contains {"cell": cell, "q": exact.subtract(then.q, now.q)} if {
	some cell, before in electrolyte.corrected.before
	cell in subjects
	battery.block_of[cell] in same
	cell in battery.not_low
	cell in battery.not_high
	cell in bias.not_low.battery
	cell in bias.not_high.battery
	some then in before
	some now in electrolyte.corrected.found[cell]
}

grave contains f.cell if {
	some f in falls
	exact.above(f.q, limit_major)
}

severity[cell] := "major" if some cell in grave

conforming contains cell if {
	some cell in ({f.cell | some f in falls} - nonconforming)
}

nonconforming contains f.cell if {
	some f in falls
	exact.above(f.q, limit)
}

not_possible contains cell if some cell, _ in why_not

why_not[cell] contains reason if {
	some biases in [battery.reads_low, battery.reads_high, battery.no_gravity]
	some cell, why in biases
	cell in subjects
	some reason in why
}

why_not[cell] contains concat(" ", ["last time", reason]) if {
	some cell, why in bias.low.battery
	cell in subjects
	some reason in why
}

why_not[cell] contains concat(" ", ["last time", reason]) if {
	some cell, why in bias.high.battery
	cell in subjects
	some reason in why
}

why_not[cell] contains concat(" ", ["last time", reasons.state[c.gravity.not_obtained.reason]]) if {
	some e in input.earlier.battery
	some c in e.battery.cells
	not c.gravity.as_left
	cell := concat(" ", ["cell", c.cell])
	cell in subjects
}

why_not[cell] contains "the serial of its block is not that of last time, and no change of it is recorded" if {
	some cell, block in battery.block_of
	cell in subjects
	block in other
}

facts[f.cell] contains {"name": "fall", "number": f.q[0], "scale": f.q[1], "place": 4, "unit": "sg"} if some f in falls

facts[cell] contains {"name": "before", "number": r.q[0], "scale": r.q[1], "place": 4, "unit": "sg"} if {
	some cell, readings in electrolyte.corrected.before
	some r in readings
}

facts[cell] contains {"name": "now", "number": r.q[0], "scale": r.q[1], "place": 4, "unit": "sg"} if {
	some cell, readings in electrolyte.corrected.found
	some r in readings
}

facts[cell] contains {"name": "reading", "at": r.at} if {
	some cell, readings in electrolyte.corrected.found
	some r in readings
}

facts[cell] contains {"name": "then", "earlier": "battery", "at": r.at} if {
	some cell, readings in electrolyte.corrected.before
	some r in readings
}

facts[cell] contains {"name": "reference", "limit": "battery.reference_temperature", "bound": "min"} if some cell in subjects

facts[cell] contains {"name": "limit", "limit": "battery.fall_minor", "bound": "max"} if some cell in subjects

facts[cell] contains {"name": "limit_major", "limit": "battery.fall_major", "bound": "max"} if some cell in subjects

facts[cell] contains {"name": "reason", "text": reason} if {
	some cell, why in why_not
	some reason in why
}
