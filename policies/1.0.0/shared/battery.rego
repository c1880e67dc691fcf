# METADATA
# title: The battery
# description: |
#   Subjects from the class; the readings of a flooded pack that count (as left where there is one, else as found); the
#   gravity corrected to the reference; and the state in which a gravity was taken, which gives its bias a direction.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.battery

import data.shared.exact
import data.shared.instruments
import data.shared.times
import data.shared.tolerance
import data.shared.visit

blocks contains concat(" ", ["block", b]) if some b in visit.class.battery.blocks

posts contains concat(" ", ["post", p]) if some p in visit.class.battery.posts

links contains concat(" ", ["link", l]) if some l in visit.class.battery.links

# cells: of a flooded pack; block_of says which block a cell belongs to.
cells contains cell if some cell, _ in block_of

block_of[concat("", ["cell ", b, ".", format_int(n, 10)])] := concat(" ", ["block", b]) if {
	visit.class.battery.type == "flooded"
	some b in visit.class.battery.blocks
	some n in numbers.range(1, visit.class.battery.cells_each)
}

# gravity: the readings of a cell that count.
gravity[concat(" ", ["cell", c.cell])] contains {"reading": c.gravity.as_left, "at": sprintf("/battery/cells/%d/gravity/as_left", [i])} if {
	some i, c in input.visit.battery.cells
}

gravity[concat(" ", ["cell", c.cell])] contains {"reading": c.gravity.as_found, "at": sprintf("/battery/cells/%d/gravity/as_found", [i])} if {
	some i, c in input.visit.battery.cells
	not c.gravity.as_left
}

# own_temperature, block_temperature: electrolyte temperature by cell, and by block for the cells that have none.
own_temperature[concat(" ", ["cell", c.cell])] contains {"reading": c.temperature.as_left, "at": sprintf("/battery/cells/%d/temperature/as_left", [i])} if {
	some i, c in input.visit.battery.cells
}

own_temperature[concat(" ", ["cell", c.cell])] contains {"reading": c.temperature.as_found, "at": sprintf("/battery/cells/%d/temperature/as_found", [i])} if {
	some i, c in input.visit.battery.cells
	not c.temperature.as_left
}

block_temperature[concat(" ", ["block", b.block])] contains {"reading": b.temperature.as_left, "at": sprintf("/battery/blocks/%d/temperature/as_left", [i])} if {
	some i, b in input.visit.battery.blocks
}

block_temperature[concat(" ", ["block", b.block])] contains {"reading": b.temperature.as_found, "at": sprintf("/battery/blocks/%d/temperature/as_found", [i])} if {
	some i, b in input.visit.battery.blocks
	not b.temperature.as_left
}

# temperature: usable electrolyte temperature of a cell as exact pairs in °F, its own or its block's.
temperature[cell] contains {"q": exact.of(t.reading.value, data.units[t.reading.unit]), "at": t.at} if {
	some cell, readings in own_temperature
	some t in readings
	instruments.usable(t.reading, "temperature")
}

temperature[cell] contains {"q": exact.of(t.reading.value, data.units[t.reading.unit]), "at": t.at} if {
	some cell, block in block_of
	count(object.get(own_temperature, cell, set())) == 0
	some t in block_temperature[block]
	instruments.usable(t.reading, "temperature")
}

ambient contains exact.of(r.value, data.units[r.unit]) if {
	r := input.visit.place.ambient.as_found
	instruments.usable(r, "temperature")
}

# judged_temperature: temperatures at which gravity may be judged: in the band, and near enough to the air's that the
# unit is not in doubt.
judged_temperature[cell] contains t if {
	some cell, readings in temperature
	some t in readings
	tolerance.exactly(t.q, data.limits.battery.gravity_temperature) == "in"
	some air in ambient
	tolerance.exactly(exact.size(exact.subtract(t.q, air)), data.limits.battery.from_ambient) == "in"
}

coefficient := exact.number(data.limits.battery.temperature_coefficient.min)

reference := exact.of(data.limits.battery.reference_temperature.min, data.units[data.limits.battery.reference_temperature.unit])

# scale_reference: what the scale of a compensated hydrometer refers to, in °F.
scale_reference := {"60 degF": [60, 1], "77 degF": [77, 1], "80 degF": [80, 1], "20 degC": [68, 1]}

compensated[i.id] contains scale_reference[i.reference_temperature] if {
	some i in input.visit.instruments
	i.compensated == true
}

plain contains i.id if {
	some i in input.visit.instruments
	i.compensated == false
}

# corrected: usable gravity of a cell at the reference temperature, as an exact pair, with where it was read. A plain
# hydrometer is corrected from the electrolyte's temperature; one that compensates, only from its scale's reference.
corrected[cell] contains {"q": exact.add(exact.of(g.reading.value, data.units[g.reading.unit]), exact.times(coefficient, exact.subtract(t.q, reference))), "at": g.at, "temperature_at": t.at, "reading": g.reading} if {
	some cell, readings in gravity
	some g in readings
	instruments.usable(g.reading, "gravity")
	g.reading.instrument in plain
	some t in judged_temperature[cell]
}

corrected[cell] contains {"q": exact.add(exact.of(g.reading.value, data.units[g.reading.unit]), exact.times(coefficient, exact.subtract(scale, reference))), "at": g.at, "temperature_at": t.at, "reading": g.reading} if {
	some cell, readings in gravity
	some g in readings
	instruments.usable(g.reading, "gravity")
	some scale in compensated[g.reading.instrument]
	some t in judged_temperature[cell]
}

# full_limit: gravity of a full charge: nameplate less what is allowed under it, or the general limit.
full_limit := exact.of(data.limits.battery.full_charge_gravity.min, data.units.sg) if not visit.class.battery.nameplate_gravity

full_limit := exact.subtract(exact.of(visit.class.battery.nameplate_gravity, data.units.sg), exact.of(data.limits.battery.under_nameplate.max, data.units.sg))

# charged: proven full at the reading: the charge ended lately, nothing was run since, and something better than the
# site's word shows its end. not_charged: the reasons, standing in the record, why it does not count as full.
charged if {
	input.visit.battery.charge.state == "ended"
	input.visit.battery.charge.end_shown_by in {"charger-display", "charger-log", "steady-gravity", "watched"}
	times.charge_ended <= times.gravity
	times.gravity - times.charge_ended <= data.limits.battery.charge_age.max * times.hour
	tolerance.exactly(exact.of(input.visit.battery.charge.key_hours_since.value, data.units.h), data.limits.battery.key_hours_since_charge) == "in"
}

not_charged contains "no charge ended before the reading" if input.visit.battery.charge.state in {"running", "none", "unknown"}

not_charged contains "nothing but the site's word shows the end of the charge" if input.visit.battery.charge.end_shown_by == "site-word"

not_charged contains "nothing shows the end of the charge" if input.visit.battery.charge.end_shown_by == "none"

not_charged contains "the charge ended after the reading" if times.charge_ended > times.gravity

not_charged contains "the charge ended too long before the reading" if times.gravity - times.charge_ended > data.limits.battery.charge_age.max * times.hour

not_charged contains "the machine was run after the charge" if tolerance.exactly(exact.of(input.visit.battery.charge.key_hours_since.value, data.units.h), data.limits.battery.key_hours_since_charge) == "high"

# Powered work comes after the gravity step, or its charge is drawn down before it is read.
gravity_place contains i if {
	some i, s in input.visit.steps
	s.step == "cell-gravity"
	s.left in {"sound", "defective"}
}

run_before contains s.step if {
	some i, s in input.visit.steps
	data.steps[s.step].area == "function"
	s.power == "key-on"
	some g in gravity_place
	i < g
}

# settled: water was mixed in by a charge before the reading, and none went in before it on this visit.
settled if {
	input.visit.battery.last_watered.known == true
	input.visit.battery.last_watered.charges_since >= 1
	tolerance.exactly(exact.of(input.visit.battery.last_watered.charge_hours_since.value, data.units.h), data.limits.battery.charging_since_water) == "in"
	water_after
}

water_after if input.visit.battery.watering.done == false

water_after if times.watered >= times.gravity

not_settled contains "it is not known when the cells were last watered" if input.visit.battery.last_watered.known == false

not_settled contains "no charge was completed since the cells were watered" if input.visit.battery.last_watered.charges_since < 1

not_settled contains "the cells were charged too short a time since they were watered" if tolerance.exactly(exact.of(input.visit.battery.last_watered.charge_hours_since.value, data.units.h), data.limits.battery.charging_since_water) == "low"

not_settled contains "the cells were watered before the reading" if times.watered < times.gravity

# level: usable levels of a cell above its plates, as found and as left.
level_found[concat(" ", ["cell", c.cell])] contains {"q": exact.of(c.level.as_found.value, data.units[c.level.as_found.unit]), "at": sprintf("/battery/cells/%d/level/as_found", [i])} if {
	some i, c in input.visit.battery.cells
	instruments.usable(c.level.as_found, "length")
}

level_left[concat(" ", ["cell", c.cell])] contains {"q": exact.of(c.level.as_left.value, data.units[c.level.as_left.unit]), "at": sprintf("/battery/cells/%d/level/as_left", [i])} if {
	some i, c in input.visit.battery.cells
	instruments.usable(c.level.as_left, "length")
}

level_left[concat(" ", ["cell", c.cell])] contains {"q": exact.of(c.level.as_found.value, data.units[c.level.as_found.unit]), "at": sprintf("/battery/cells/%d/level/as_found", [i])} if {
	some i, c in input.visit.battery.cells
	not c.level.as_left
	instruments.usable(c.level.as_found, "length")
}

# low_level: below the least level as found, so the gravity reads high; level_sound: proven not.
low_level contains cell if {
	some cell, levels in level_found
	some l in levels
	tolerance.exactly(l.q, data.limits.battery.level_above_plates) == "low"
}

level_sound contains cell if {
	some cell, levels in level_found
	{tolerance.exactly(l.q, data.limits.battery.level_above_plates) | some l in levels} == {"in"}
}

overfull contains concat(" ", ["cell", c.cell]) if {
	some c in input.visit.battery.cells
	c.over_mark_found == true
}

not_overfull contains concat(" ", ["cell", c.cell]) if {
	some c in input.visit.battery.cells
	c.over_mark_found == false
}

# reads_low: reasons, standing in the record, why a cell's gravity may read low; a value at the limit still proves.
reads_low[cell] contains reason if {
	some cell in cells
	some reason in not_charged
}

reads_low[cell] contains reason if {
	some cell in cells
	some reason in not_settled
}

reads_low[cell] contains "the machine was run before the reading" if {
	some cell in cells
	count(run_before) > 0
}

reads_low[cell] contains "the cell was overfull" if some cell in overfull

# not_low: proven free of every cause to read low; not_high: proven to have been at level.
not_low contains cell if {
	some cell in not_overfull
	charged
	settled
	count(gravity_place) > 0
	count(run_before) == 0
}

not_high contains cell if some cell in level_sound
