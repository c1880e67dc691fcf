# METADATA
# scope: package
# title: No water, charge or torque on a block that is hot, frozen or bulged
# description: |
#   Electrolyte at 125 °F or more boils and gasses, ice splits a case and a bulged block is about to burst. Work stops,
#   the place is aired, and nothing is added, charged or tightened.
# related_resources:
#   - ref: urn:text:NAVEDTRA-14113
#     description: electrolyte is never let above 125 °F (52 °C) while charging
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   says: "{subject} was {state}, and {work} all the same."
#   needs: "{subject}: a temperature by a valid thermometer below {limit}, or of each of its cells, the state of its case and whether there was ice are needed; on a block that is not fit, that nothing was done."
#   needs_state: "{subject} could not be judged: {reason}."
#   remedy: Stop. Air the place, keep people away, leave the block to cool or thaw, isolate and tag the machine and call a specialist.
#   who: specialist
#   concession: never
#   since: visit/1
#   cautions:
#     - A hot, frozen or bulged block can burst and throw acid; keep away, follow its manual and local codes, and leave it to a qualified person.
package procedure.safety.no_work_on_hot_or_frozen

import data.shared.battery
import data.shared.electrolyte
import data.shared.exact
import data.shared.instruments
import data.shared.reasons
import data.shared.steps
import data.shared.visit

subjects contains block if {
	visit.attended
	"battery" in visit.areas
	some block in battery.blocks
}

spared contains "nobody attended the machine" if visit.not_available

spared contains "the battery is not in the scope of this visit" if {
	visit.attended
	"battery" in visit.out_of_scope
}

hot_from := exact.of(data.limits.battery.electrolyte_hot.max, data.units[data.limits.battery.electrolyte_hot.unit])

# temperature: readings that count, of a block and of its cells, after waiting where it was measured again.
temperature[block] contains t if {
	some block, readings in electrolyte.block.left
	some t in readings
}

temperature[block] contains t if {
	some cell, readings in electrolyte.own.left
	block := battery.block_of[cell]
	some t in readings
}

hot[block] contains t.at if {
	some block, readings in temperature
	some t in readings
	exact.at_least(exact.of(t.reading.value, data.units[t.reading.unit]), hot_from)
}

# taken: blocks whose temperature is known by a usable reading of their own, or by one of each of their cells.
taken contains block if {
	some block, readings in electrolyte.block.left
	some t in readings
	instruments.usable(t.reading, "temperature")
}

by_cell[block] contains cell if {
	some cell, readings in electrolyte.own.left
	block := battery.block_of[cell]
	some t in readings
	instruments.usable(t.reading, "temperature")
}

taken contains block if {
	some block, cells in by_cell
	count(cells) == visit.class.battery.cells_each
}

# unfit: what is wrong with a block, and where it stands; whole: blocks whose case and electrolyte are said to be fit.
unfit[block] contains {"state": "at 125 °F or more", "at": at} if {
	some block, places in hot
	some at in places
}

unfit[concat(" ", ["block", b.block])] contains {"state": "too hot to measure", "at": sprintf("/battery/blocks/%d/temperature/not_obtained/reason", [i])} if {
	some i, b in input.visit.battery.blocks
	b.temperature.not_obtained.reason == "hot"
}

unfit[concat(" ", ["block", b.block])] contains {"state": "frozen", "at": sprintf("/battery/blocks/%d/temperature/not_obtained/reason", [i])} if {
	some i, b in input.visit.battery.blocks
	b.temperature.not_obtained.reason == "frozen"
}

unfit[concat(" ", ["block", b.block])] contains {"state": "frozen", "at": sprintf("/battery/blocks/%d/frozen", [i])} if {
	some i, b in input.visit.battery.blocks
	b.frozen == true
}

unfit[concat(" ", ["block", b.block])] contains {"state": "bulged", "at": sprintf("/battery/blocks/%d/case", [i])} if {
	some i, b in input.visit.battery.blocks
	b.case == "bulged"
}

whole contains concat(" ", ["block", b.block]) if {
	some b in input.visit.battery.blocks
	b.frozen == false
	b.case in {"sound", "cracked", "leaking"}
}

# worked: what was done to a block; water and a charge reach every block.
worked[block] contains "water was added" if {
	input.visit.battery.watering.done == true
	some block in battery.blocks
}

worked[block] contains "it was put on charge" if {
	input.visit.charger.connected.done == true
	some block in battery.blocks
}

worked[concat(" ", ["block", trim_right(p.post, "+-")])] contains "its terminals were tightened or tried" if {
	some p in input.visit.battery.posts
	p.torque.as_found
}

worked[concat(" ", ["block", trim_right(p.post, "+-")])] contains "its terminals were tightened or tried" if {
	some p in input.visit.battery.posts
	p.torque.as_left
}

# let_be: the record says of each kind of work that it was not done.
let_be contains "water" if input.visit.battery.watering.done == false

let_be contains "charge" if input.visit.charger.connected.done == false

let_be contains "charge" if "charger-start" in (visit.skipped | steps.not_reached)

let_be contains "torque" if "post-torque" in (visit.skipped | steps.not_reached)

unfit_blocks contains block if some block, _ in unfit

worked_on contains block if some block, _ in worked

conforming contains block if some block in (((taken & whole) - unfit_blocks) & subjects)

conforming contains block if {
	let_be == {"water", "charge", "torque"}
	some block in ((unfit_blocks - worked_on) & subjects)
}

nonconforming contains block if some block in ((unfit_blocks & worked_on) & subjects)

why[concat(" ", ["block", b.block])] contains reasons.state[b.temperature.not_obtained.reason] if some b in input.visit.battery.blocks

why[block] contains reasons.ended if {
	"battery-case" in steps.not_reached
	some block in (battery.blocks - whole)
}

not_possible contains block if {
	some block, _ in why
	block in ((subjects - unfit_blocks) - (taken & whole))
}

facts[block] contains {"name": "state", "text": u.state} if {
	some block, all in unfit
	some u in all
}

facts[block] contains {"name": "at", "at": u.at} if {
	some block, all in unfit
	some u in all
}

facts[block] contains {"name": "work", "text": text} if {
	some block, all in worked
	block in unfit_blocks
	some text in all
}

facts[block] contains {"name": "limit", "limit": "battery.electrolyte_hot", "bound": "max"} if some block in subjects

facts[block] contains {"name": "reason", "text": reason} if {
	some block, all in why
	some reason in all
}
