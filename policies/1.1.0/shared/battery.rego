# METADATA
# title: The battery
# description: |
#   Subjects from the class, the gravity of a full charge, and what counts today of its cells: the readings as left
#   where there is one, else as found, and which way they may be wrong.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.battery

import data.shared.bias
import data.shared.charge
import data.shared.electrolyte
import data.shared.exact
import data.shared.reasons
import data.shared.visit

blocks contains concat(" ", ["block", b]) if some b in visit.class.battery.blocks

posts contains concat(" ", ["post", p]) if some p in visit.class.battery.posts

links contains concat(" ", ["link", l]) if some l in visit.class.battery.links

# replaced: blocks stated to have been replaced since the earlier readings, today or by a visit in between, and when.
replaced[concat(" ", ["block", b])] contains change.date if {
	some e in input.earlier.battery
	some change in input.visit.battery.changes
	change.date >= substring(e.started, 0, 10)
	change.date <= visit.day
	some b in change.blocks
}

replaced[concat(" ", ["block", b])] contains change.date if {
	some e in input.earlier.battery
	some between in input.earlier.last_visit
	between.id != e.id
	some change in between.battery.changes
	change.date >= substring(e.started, 0, 10)
	change.date <= visit.day
	some b in change.blocks
}

# cells: of a flooded pack; block_of says which block a cell belongs to.
cells contains cell if some cell, _ in block_of

block_of := electrolyte.block_of

# full_limit: gravity of a full charge: nameplate less what is allowed under it, or the general limit.
full_limit := exact.of(data.limits.battery.full_charge_gravity.min, data.units.sg) if not visit.class.battery.nameplate_gravity

full_limit := exact.subtract(exact.of(visit.class.battery.nameplate_gravity, data.units.sg), exact.of(data.limits.battery.under_nameplate.max, data.units.sg))

# full_gravity: what a full charge reads: the nameplate, or the general limit where there is none.
nameplate contains exact.of(visit.class.battery.nameplate_gravity, data.units.sg)

full_gravity := q if some q in nameplate

full_gravity := exact.of(data.limits.battery.full_charge_gravity.min, data.units.sg) if count(nameplate) == 0

# corrected: usable gravity of a cell at the reference temperature; temperature: of its electrolyte; level_left: above
# the plates.
corrected[cell] := readings if some cell, readings in electrolyte.corrected.left

temperature[cell] := readings if some cell, readings in electrolyte.temperature.left

level_left[cell] := levels if some cell, levels in electrolyte.level.left

# no_gravity: why a cell has no gravity, for a reason that is a state and stands in the record.
no_gravity[concat(" ", ["cell", c.cell])] contains reasons.state[c.gravity.not_obtained.reason] if {
	some c in input.visit.battery.cells
	not c.gravity.as_left
}

no_gravity[cell] contains reasons.ended if {
	visit.cut_off
	some cell in (cells - gravity_noted)
}

# gravity_noted: cells whose gravity the record speaks of, had or not.
gravity_noted contains concat(" ", ["cell", c.cell]) if {
	some c in input.visit.battery.cells
	c.gravity
}

# no_temperature: why a cell has no electrolyte temperature, its own or its block's, likewise.
no_temperature[cell] contains reasons.state[c.temperature.not_obtained.reason] if {
	some c in input.visit.battery.cells
	not c.temperature.as_left
	cell := concat(" ", ["cell", c.cell])
	cell in (cells - object.keys(temperature))
}

no_temperature[cell] contains reasons.state[b.temperature.not_obtained.reason] if {
	some b in input.visit.battery.blocks
	not b.temperature.as_left
	some cell, block in block_of
	block == concat(" ", ["block", b.block])
	cell in (cells - object.keys(temperature))
}

no_temperature[cell] contains reasons.ended if {
	visit.cut_off
	some cell, block in block_of
	cell in (cells - temperature_noted)
	block in (blocks - temperature_noted)
}

# temperature_noted: cells and blocks whose temperature the record speaks of, had or not.
temperature_noted contains concat(" ", ["cell", c.cell]) if {
	some c in input.visit.battery.cells
	c.temperature
}

temperature_noted contains concat(" ", ["block", b.block]) if {
	some b in input.visit.battery.blocks
	b.temperature
}

# no_level: why a cell has no level, likewise.
no_level[cell] contains reasons.state[c.level.not_obtained.reason] if {
	some c in input.visit.battery.cells
	not c.level.as_left
	cell := concat(" ", ["cell", c.cell])
}

no_level[cell] contains reasons.ended if some cell in unseen

# unseen: cells that the record does not speak of, in a visit that ended before it was through.
unseen contains cell if {
	visit.cut_off
	some cell in (cells - {concat(" ", ["cell", c.cell]) | some c in input.visit.battery.cells})
}

# temperature_facts: the electrolyte's temperature as read, and why there is none.
temperature_facts[cell] contains {"name": "temperature", "at": t.at} if {
	some cell, readings in temperature
	some t in readings
}

temperature_facts[cell] contains {"name": "reason", "text": reason} if {
	some cell, why in no_temperature
	some reason in why
}

# gravity_facts: the gravity of a cell as read, at what temperature, and corrected to which; and the temperatures between
# which it is judged.
gravity_facts[cell] contains {"name": "reference", "limit": "battery.reference_temperature", "bound": "min"} if some cell in cells

gravity_facts[cell] contains {"name": "coldest", "limit": "battery.gravity_temperature", "bound": "min"} if some cell in cells

gravity_facts[cell] contains {"name": "hottest", "limit": "battery.gravity_temperature", "bound": "max"} if some cell in cells

gravity_facts[cell] contains {"name": "reading", "at": r.at} if {
	some cell, readings in corrected
	some r in readings
}

gravity_facts[cell] contains {"name": "temperature", "at": r.temperature_at} if {
	some cell, readings in corrected
	some r in readings
}

gravity_facts[cell] contains {"name": "corrected", "number": r.q[0], "scale": r.q[1], "place": 4, "unit": "sg"} if {
	some cell, readings in corrected
	some r in readings
	exact.subtract(r.q, exact.of(r.reading.value, data.units[r.reading.unit]))[0] != 0
}

gravity_facts[cell] contains {"name": "reason", "text": reason} if {
	some cell, why in no_gravity
	some reason in why
}

# charged, settled: proven full, and proven mixed, at the reading; not_charged, not_settled: why not. reads_low,
# reads_high: why a gravity may be wrong that way; not_low, not_high: proven not to be.
charged if "today" in charge.full

settled if "today" in charge.settled

not_charged contains why if some why in charge.not_full.today

not_settled contains why if some why in charge.not_settled.today

reads_low[cell] := why if some cell, why in bias.low.today

reads_high[cell] := why if some cell, why in bias.high.today

not_low contains cell if some cell in bias.not_low.today

not_high contains cell if some cell in bias.not_high.today
