# METADATA
# title: Gravity, temperature and level of the electrolyte
# description: |
#   The readings of a flooded pack on three occasions: found (today, before anything was done), left (today, as left
#   where there is such a reading, else as found) and before (as the earlier visit left it). A gravity is corrected to
#   the reference temperature; corrected holds those taken at a temperature at which gravity may be judged.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.electrolyte

import data.shared.exact
import data.shared.instruments
import data.shared.tolerance
import data.shared.visit

# slot: the visit that an occasion belongs to (visit.slots).
slot := {"found": "today", "left": "today", "before": "battery"}

# gravity: the readings of a cell that count on an occasion.
gravity[when][concat(" ", ["cell", c.cell])] contains {"reading": c.gravity.as_left, "at": sprintf("/battery/cells/%d/gravity/as_left", [i])} if {
	some when in ["left", "before"]
	some i, c in visit.slots[slot[when]].battery.cells
}

gravity[when][concat(" ", ["cell", c.cell])] contains {"reading": c.gravity.as_found, "at": sprintf("/battery/cells/%d/gravity/as_found", [i])} if {
	some when in ["left", "before"]
	some i, c in visit.slots[slot[when]].battery.cells
	not c.gravity.as_left
}

gravity[when][concat(" ", ["cell", c.cell])] contains {"reading": c.gravity.as_found, "at": sprintf("/battery/cells/%d/gravity/as_found", [i])} if {
	some when in ["found"]
	some i, c in visit.slots[slot[when]].battery.cells
}

# own, block: electrolyte temperature by cell, and by block for the cells that have none.
own[when][concat(" ", ["cell", c.cell])] contains {"reading": c.temperature.as_left, "at": sprintf("/battery/cells/%d/temperature/as_left", [i])} if {
	some when in ["left", "before"]
	some i, c in visit.slots[slot[when]].battery.cells
}

own[when][concat(" ", ["cell", c.cell])] contains {"reading": c.temperature.as_found, "at": sprintf("/battery/cells/%d/temperature/as_found", [i])} if {
	some when in ["left", "before"]
	some i, c in visit.slots[slot[when]].battery.cells
	not c.temperature.as_left
}

own[when][concat(" ", ["cell", c.cell])] contains {"reading": c.temperature.as_found, "at": sprintf("/battery/cells/%d/temperature/as_found", [i])} if {
	some when in ["found"]
	some i, c in visit.slots[slot[when]].battery.cells
}

block[when][concat(" ", ["block", b.block])] contains {"reading": b.temperature.as_left, "at": sprintf("/battery/blocks/%d/temperature/as_left", [i])} if {
	some when in ["left", "before"]
	some i, b in visit.slots[slot[when]].battery.blocks
}

block[when][concat(" ", ["block", b.block])] contains {"reading": b.temperature.as_found, "at": sprintf("/battery/blocks/%d/temperature/as_found", [i])} if {
	some when in ["left", "before"]
	some i, b in visit.slots[slot[when]].battery.blocks
	not b.temperature.as_left
}

block[when][concat(" ", ["block", b.block])] contains {"reading": b.temperature.as_found, "at": sprintf("/battery/blocks/%d/temperature/as_found", [i])} if {
	some when in ["found"]
	some i, b in visit.slots[slot[when]].battery.blocks
}

# block_of: the block that a cell of the class belongs to.
block_of := {concat("", ["cell ", b, ".", format_int(n, 10)]): concat(" ", ["block", b]) |
	visit.class.battery.type == "flooded"
	some b in visit.class.battery.blocks
	some n in numbers.range(1, visit.class.battery.cells_each)
}

# temperature: usable electrolyte temperature of a cell as exact pairs in °F, its own or its block's.
temperature[when][cell] contains {"q": exact.of(t.reading.value, data.units[t.reading.unit]), "at": t.at, "reading": t.reading} if {
	some when, cells in own
	some cell, readings in cells
	some t in readings
	instruments.usable_in(slot[when], t.reading, "temperature")
}

temperature[when][cell] contains {"q": exact.of(t.reading.value, data.units[t.reading.unit]), "at": t.at, "reading": t.reading} if {
	some when, blocks in block
	some cell, its_block in block_of
	count(object.get(own, [when, cell], set())) == 0
	some t in blocks[its_block]
	instruments.usable_in(slot[when], t.reading, "temperature")
}

ambient[when] contains exact.of(r.value, data.units[r.unit]) if {
	some when, name in slot
	r := visit.slots[name].place.ambient.as_found
	instruments.usable_in(name, r, "temperature")
}

# judged: temperatures at which gravity may be judged: in the band, and near enough to the air's that the unit is not in
# doubt.
judged[when][cell] contains t if {
	some when, cells in temperature
	some cell, readings in cells
	some t in readings
	tolerance.exactly(t.q, data.limits.battery.gravity_temperature) == "in"
	some air in ambient[when]
	tolerance.exactly(exact.size(exact.subtract(t.q, air)), data.limits.battery.from_ambient) == "in"
}

coefficient := exact.number(data.limits.battery.temperature_coefficient.min)

reference := exact.of(data.limits.battery.reference_temperature.min, data.units[data.limits.battery.reference_temperature.unit])

# scale_reference: what the scale of a compensated hydrometer refers to, in °F.
scale_reference := {"60 degF": [60, 1], "77 degF": [77, 1], "80 degF": [80, 1], "20 degC": [68, 1]}

compensated[name][i.id] contains scale_reference[i.reference_temperature] if {
	some name, v in visit.slots
	some i in v.instruments
	i.compensated == true
}

plain[name] contains i.id if {
	some name, v in visit.slots
	some i in v.instruments
	i.compensated == false
}

# at_reference: usable gravity of a cell at the reference temperature, as an exact pair, with where it was read. A plain
# hydrometer is corrected from the electrolyte's temperature; one that compensates, only from its scale's reference.
at_reference[when][cell] contains {"q": exact.add(exact.of(g.reading.value, data.units[g.reading.unit]), exact.times(coefficient, exact.subtract(t.q, reference))), "at": g.at, "reading": g.reading, "temperature": t} if {
	some when, cells in gravity
	temperatures := temperature[when]
	instruments_plain := plain[slot[when]]
	some cell, readings in cells
	some g in readings
	g.reading.instrument in instruments_plain
	instruments.usable_in(slot[when], g.reading, "gravity")
	some t in temperatures[cell]
}

at_reference[when][cell] contains {"q": exact.add(exact.of(g.reading.value, data.units[g.reading.unit]), exact.times(coefficient, exact.subtract(scale, reference))), "at": g.at, "reading": g.reading, "temperature": t} if {
	some when, cells in gravity
	temperatures := temperature[when]
	scales := compensated[slot[when]]
	some cell, readings in cells
	some g in readings
	some scale in scales[g.reading.instrument]
	instruments.usable_in(slot[when], g.reading, "gravity")
	some t in temperatures[cell]
}

# corrected: those of them that were taken at a temperature at which gravity may be judged.
corrected[when][cell] contains {"q": r.q, "at": r.at, "reading": r.reading, "temperature_at": r.temperature.at} if {
	some when, cells in at_reference
	temperatures := judged[when]
	some cell, readings in cells
	some r in readings
	r.temperature in temperatures[cell]
}

# level: usable levels above the plates.
level[when][concat(" ", ["cell", c.cell])] contains {"q": exact.of(c.level.as_left.value, data.units[c.level.as_left.unit]), "at": sprintf("/battery/cells/%d/level/as_left", [i])} if {
	some when in ["left"]
	some i, c in visit.slots[slot[when]].battery.cells
	instruments.usable_in(slot[when], c.level.as_left, "length")
}

level[when][concat(" ", ["cell", c.cell])] contains {"q": exact.of(c.level.as_found.value, data.units[c.level.as_found.unit]), "at": sprintf("/battery/cells/%d/level/as_found", [i])} if {
	some when in ["left"]
	some i, c in visit.slots[slot[when]].battery.cells
	not c.level.as_left
	instruments.usable_in(slot[when], c.level.as_found, "length")
}

level[when][concat(" ", ["cell", c.cell])] contains {"q": exact.of(c.level.as_found.value, data.units[c.level.as_found.unit]), "at": sprintf("/battery/cells/%d/level/as_found", [i])} if {
	some when in ["found"]
	some i, c in visit.slots[slot[when]].battery.cells
	instruments.usable_in(slot[when], c.level.as_found, "length")
}
