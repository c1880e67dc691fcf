# METADATA
# title: What a page shows beside the verdict
# description: |
#   The readings of a visit laid out for people: brought to one unit or to the reference, with the limit that applies,
#   by cell, post, block and meter. Nothing here judges, and no rule reads it. A quantity is given as a fact of a rule
#   is: by number, scale, place and unit, by its place in a record, or as a bound of a limit. What may be wanting is an
#   array of none or one.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.sheet

import data.shared.battery
import data.shared.electrolyte
import data.shared.exact
import data.shared.hours
import data.shared.instruments
import data.shared.ranges
import data.shared.terminals
import data.shared.times
import data.shared.tolerance
import data.shared.visit
import data.shared.voltage

# shown: the visit has to do with the battery. flooded: and it is one of open cells.
shown if "battery" in visit.areas

shown if "battery" in visit.recorded

flooded if {
	shown
	visit.class.battery.type == "flooded"
}

# gravity: usable gravities of a cell as found and as left, at the reference; judged says whether their temperature
# allows a judgement. The uncertainty is the hydrometer's alone.
gravity[when][cell] contains {"corrected": number(r.q, 4, "sg"), "reading": {"at": r.at}, "temperature": {"at": r.temperature.at}, "uncertainty": uncertainty(r.reading, "gravity", 4, "sg"), "judged": judged} if {
	some when in ["found", "left"]
	some cell, readings in electrolyte.at_reference[when]
	some r in readings
	judged := r.temperature in object.get(electrolyte.judged, [when, cell], set())
}

level[when][cell] contains {"level": number(l.q, 3, "in"), "reading": {"at": l.at}} if {
	some when in ["found", "left"]
	some cell, readings in electrolyte.level[when]
	some l in readings
}

cells contains {"cell": trim_prefix(cell, "cell "), "block": trim_prefix(block, "block "), "gravity_found": gravity_found, "gravity_left": gravity_left, "gravity_before": before, "level_found": level_found, "level_left": level_left} if {
	flooded
	some cell, block in electrolyte.block_of
	gravity_found := [g | some g in object.get(gravity, ["found", cell], set())]
	gravity_left := [g | some g in object.get(gravity, ["left", cell], set())]
	level_found := [l | some l in object.get(level, ["found", cell], set())]
	level_left := [l | some l in object.get(level, ["left", cell], set())]
	before := [g | some g in object.get(gravity_before, cell, set())]
}

# gravity_before: what the latest earlier visit with battery readings left, of blocks that are still the same.
gravity_before[cell] contains {"corrected": number(r.q, 4, "sg"), "reading": {"at": r.at, "earlier": "battery"}, "temperature": {"at": r.temperature_at, "earlier": "battery"}, "visit": then.id} if {
	some then in input.earlier.battery
	some cell, readings in electrolyte.corrected.before
	not replaced[electrolyte.block_of[cell]]
	some r in readings
}

replaced[block] if some block, _ in battery.replaced

# means: the mean of the gravities that may be judged, and of how many.
means contains {"when": when, "mean": number(exact.over(exact.sum_of(of), count(of)), 4, "sg"), "of": format_int(count(of), 10)} if {
	flooded
	some when in ["found", "left"]
	of := judged_of[when]
	count(of) > 0
}

judged_of[when] := [r.q | some _, readings in electrolyte.corrected[when]; some r in readings] if some when in ["found", "left"]

# weakest: the cells that read lowest of those that may be judged.
weakest contains {"when": when, "cell": trim_prefix(cell, "cell "), "corrected": number(r.q, 4, "sg"), "temperature": {"at": r.temperature_at}} if {
	flooded
	some when in ["found", "left"]
	count(judged_of[when]) > 0
	least := exact.least(judged_of[when])
	some cell, readings in electrolyte.corrected[when]
	some r in readings
	exact.at_least(least, r.q)
}

# full_charge: what a full charge reads at the least, at which temperature, and where that comes from.
full_charge contains {"least": number(battery.full_limit, 3, "sg"), "reference": {"limit": "battery.reference_temperature", "bound": "min"}, "from": {"limit": "battery.under_nameplate", "bound": "max"}, "nameplate": [number(q, 3, "sg")]} if {
	flooded
	some q in battery.nameplate
}

full_charge contains {"least": number(battery.full_limit, 3, "sg"), "reference": {"limit": "battery.reference_temperature", "bound": "min"}, "from": {"limit": "battery.full_charge_gravity", "bound": "min"}, "nameplate": []} if {
	flooded
	count(battery.nameplate) == 0
}

# level_band: the least level above the plates. The most is the mark in the cell, which is seen and not measured.
level_band contains {"least": {"limit": "battery.level_above_plates", "bound": "min"}, "most": []} if flooded

# torque: the readings of a post, in the unit of its band. What a wrench clicked or was held at is its setting.
torque[when][p.post] contains {"torque": number(exact.of(r.value, data.units[r.unit]), 1, "in.lbf"), "reading": {"at": sprintf("/battery/posts/%d/torque/as_%s", [i, when])}, "method": r.method, "result": r.result, "usable": usable(r, "torque")} if {
	some when in ["found"]
	some i, p in input.visit.battery.posts
	r := p.torque.as_found
}

torque[when][p.post] contains {"torque": number(exact.of(r.value, data.units[r.unit]), 1, "in.lbf"), "reading": {"at": sprintf("/battery/posts/%d/torque/as_%s", [i, when])}, "method": r.method, "result": r.result, "usable": usable(r, "torque")} if {
	some when in ["left"]
	some i, p in input.visit.battery.posts
	r := p.torque.as_left
}

posts contains {"post": post, "torque_found": found, "torque_left": left} if {
	shown
	some post in visit.class.battery.posts
	found := [t | some t in object.get(torque, ["found", post], set())]
	left := [t | some t in object.get(torque, ["left", post], set())]
}

torque_band contains {"least": {"limit": concat(".", ["battery", t.name]), "bound": "min"}, "most": [{"limit": concat(".", ["battery", t.name]), "bound": "max"}]} if {
	shown
	some t in terminals.torque
}

# voltages: of the blocks as they count, with the band of a sealed one at rest; rested says whether they rested for long
# enough to mean anything.
voltages contains {"block": trim_prefix(block, "block "), "stage": v.stage, "voltage": number(v.q, 3, "V"), "reading": {"at": v.at}, "uncertainty": uncertainty_as_read(v.at)} if {
	shown
	some block, shows in voltage.block
	some v in shows
}

uncertainty_as_read(at) := [number(u, 3, "V") |
	some i, b in input.visit.battery.blocks
	some stage in ["as_found", "as_left"]
	at == sprintf("/battery/blocks/%d/voltage/%s", [i, stage])
	u := instruments.uncertainty(b.voltage[stage], "voltage")
]

voltage_band contains {"least": number(exact.of(band.min, data.units[band.unit]), 2, "V"), "most": number(exact.of(band.max, data.units[band.unit]), 2, "V"), "mark": band.mark, "source": band.source} if {
	shown
	band := visit.class.battery.rest_voltage
}

rest contains {"hours": {"at": "/battery/off_charge_and_load"}, "least": {"limit": "battery.rest_for_voltage", "bound": "min"}, "enough": enough} if {
	shown
	count(voltages) > 0
	enough := tolerance.exactly(voltage.rest, data.limits.battery.rest_for_voltage) == "in"
}

# meters: each meter today and as the latest earlier visit with meters read left it, and what was run between.
meters contains {"meter": m.meter, "now": hour_reading(sprintf("/meters/%d/reading", [i]), m.reading), "before": before, "since": since, "replaced": replaced} if {
	some i, m in input.visit.meters
	before := [b | some b in object.get(meters_before, m.meter, set())]
	since := [number(exact.times(q, [1, 3600]), 1, "h") | some q in object.get(hours.since, m.meter, set())]
	replaced := m.meter in replaced_meters
}

hour_reading(at, reading) := [{"at": concat("", [at, "/as_left"])}] if reading.as_left

else := [{"at": concat("", [at, "/as_found"])}] if reading.as_found

else := []

meters_before[m.meter] contains {"reading": {"at": reading.at, "earlier": "meters"}, "visit": then.id, "days": format_int(times.days_between(substring(then.started, 0, 10), visit.day), 10)} if {
	some then in input.earlier.meters
	some i, m in then.meters
	some reading in hour_reading(sprintf("/meters/%d/reading", [i]), m.reading)
}

# replaced_meters: those with a change between the earlier reading and today's, or stated today.
replaced_meters contains c.meter if some c in input.visit.meter_changes

replaced_meters contains c.meter if {
	some then in input.earlier.meters
	some c in input.earlier.meter_changes
	times.at(c.recorded_at) > times.at(then.ended)
}

# steps: title and area of the steps that the record speaks of or the visit requires.
steps contains {"step": name, "title": step.title, "area": step.area, "order": format_int(step.order, 10), "required": required} if {
	some name, step in data.steps
	name in ({s.step | some s in input.visit.steps} | visit.required_steps)
	required := name in visit.required_steps
}

# readings: the numbers of the class that were read at the steps, and what the class allows.
readings contains {"at": sprintf("/steps/%d/readings/%d", [i, k]), "title": title, "found": found, "left": left, "allowed": allowed} if {
	some i, s in input.visit.steps
	some k, r in s.readings
	title := [range.title | some range in visit.class.ranges; range.reading == r.reading]
	found := [{"at": sprintf("/steps/%d/readings/%d/as_found", [i, k])} | r.as_found]
	left := [{"at": sprintf("/steps/%d/readings/%d/as_left", [i, k])} | r.as_left]
	allowed := [f.text | some f in object.get(ranges.facts, concat(" ", ["reading", r.reading]), set()); f.name == "allowed"]
}

# class: what the class calls itself, and what pack it has.
class contains {"title": visit.class.title, "battery": visit.class.battery.type}

number(q, place, unit) := {"number": q[0], "scale": q[1], "place": place, "unit": unit}

uncertainty(reading, quantity, place, unit) := [number(u, place, unit) | u := instruments.uncertainty(reading, quantity)]

usable(reading, quantity) if instruments.usable(reading, quantity)

else := false
