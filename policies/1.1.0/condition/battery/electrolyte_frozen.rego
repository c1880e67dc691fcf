# METADATA
# scope: package
# title: No electrolyte is frozen or close to it
# description: |
#   Weak acid freezes first. A frozen battery may burst when it is charged, and its case leaks when it thaws. Between two
#   rows of the table the warmer freezing point counts, below its lowest row that of water; where no gravity is known the
#   electrolyte must be warm enough for water.
# related_resources:
#   - ref: urn:text:TM-5-1185
#     description: "Table III, freezing points by gravity. That 10 °F above them is close is common practice."
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   says: "{subject} is frozen or close to it: {why}.[ Electrolyte at {temperature}, {corrected} at {reference}, freezes at {point}; at least {margin} above it is safe.]"
#   needs: "{subject}: the state of its block, the electrolyte's temperature and, where it is cold, its gravity by valid instruments are needed."
#   needs_state: "{subject} could not be judged for frost: {reason}."
#   remedy: No charge and no water. Let the battery thaw in a warm aired place, look at every case, and let a specialist decide.
#   who: specialist
#   concession: never
#   cautions:
#     - "A frozen or bulged battery may burst: do not charge, tilt or open it, and keep eyes and hands away."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.electrolyte_frozen

import data.shared.battery
import data.shared.electrolyte
import data.shared.exact
import data.shared.tolerance
import data.shared.visit

subjects contains cell if {
	visit.flooded
	some cell in battery.cells
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

# rows: freezing points of the published table, each from the gravity that it stands for.
rows := [
	{"from": [0, 1], "point": water},
	{"from": [1100, 1000], "point": exact.of(data.limits.freezing.at_1_100.min, data.units.degF)},
	{"from": [1150, 1000], "point": exact.of(data.limits.freezing.at_1_150.min, data.units.degF)},
	{"from": [1200, 1000], "point": exact.of(data.limits.freezing.at_1_200.min, data.units.degF)},
	{"from": [1250, 1000], "point": exact.of(data.limits.freezing.at_1_250.min, data.units.degF)},
	{"from": [1280, 1000], "point": exact.of(data.limits.freezing.at_1_280.min, data.units.degF)},
]

water := exact.of(data.limits.battery.water_freezes.min, data.units.degF)

# freezes: the freezing point of a cell by its gravity, with the temperature at which that was read.
freezes[cell] contains {"point": point, "temperature": r.temperature.q, "gravity": r.q} if {
	some cell, readings in electrolyte.at_reference.left
	some r in readings
	point := exact.least([row.point | some row in rows; exact.at_least(r.q, row.from)])
}

places[cell] contains tolerance.exactly(exact.subtract(f.temperature, f.point), data.limits.battery.above_freezing) if {
	some cell, found in freezes
	some f in found
}

# warm: cells whose electrolyte would not freeze if it were water.
warm contains cell if {
	some cell, readings in battery.temperature
	{tolerance.exactly(exact.subtract(t.q, water), data.limits.battery.above_freezing) | some t in readings} == {"in"}
}

# thawed: proven warm enough, for water or for the gravity that was read.
thawed contains cell if some cell in warm

thawed contains cell if some cell, {"in"} in places

sound contains concat(" ", ["block", b.block]) if {
	some b in input.visit.battery.blocks
	b.frozen == false
	b.case in {"sound", "cracked", "leaking"}
}

# burst: what the record says of a block that shows frost.
burst[concat(" ", ["block", b.block])] contains "its block is frozen" if {
	some b in input.visit.battery.blocks
	b.frozen == true
}

burst[concat(" ", ["block", b.block])] contains "the case of its block is bulged" if {
	some b in input.visit.battery.blocks
	b.case == "bulged"
}

why[cell] contains reason if {
	some block, reasons in burst
	some cell, its_block in battery.block_of
	its_block == block
	some reason in reasons
}

burst[concat(" ", ["block", b.block])] contains "its block was too frozen to be read" if {
	some b in input.visit.battery.blocks
	b.temperature.not_obtained.reason == "frozen"
}

why[concat(" ", ["cell", c.cell])] contains "it was too frozen to be read" if {
	some c in input.visit.battery.cells
	c.gravity.not_obtained.reason == "frozen"
}

why[concat(" ", ["cell", c.cell])] contains "it was too frozen to be read" if {
	some c in input.visit.battery.cells
	c.temperature.not_obtained.reason == "frozen"
}

why[cell] contains "the electrolyte is close to its freezing point" if {
	some cell, where in places
	"low" in where
}

conforming contains cell if {
	some cell in ((thawed & subjects) - object.keys(why))
	battery.block_of[cell] in sound
}

nonconforming contains cell if {
	some cell, _ in why
	cell in subjects
}

# What could not be read, or was too cold to be judged without a gravity, is a question unless the block answers it.
not_possible contains cell if some cell, _ in unknown

unknown[cell] contains reason if {
	some cell, reasons in battery.no_temperature
	cell in (subjects - object.keys(why))
	some reason in reasons
}

unknown[cell] contains reason if {
	some cell, reasons in battery.no_gravity
	cell in ((subjects & object.keys(battery.temperature)) - (object.keys(why) | thawed))
	some reason in reasons
}

facts[cell] contains {"name": "why", "text": reason} if {
	some cell, reasons in why
	some reason in reasons
}

facts[cell] contains {"name": "temperature", "at": t.at} if {
	some cell, readings in battery.temperature
	some t in readings
}

facts[cell] contains {"name": "corrected", "number": f.gravity[0], "scale": f.gravity[1], "place": 4, "unit": "sg"} if {
	some cell, found in freezes
	some f in found
}

facts[cell] contains {"name": "point", "number": f.point[0], "scale": f.point[1], "place": 0, "unit": "degF"} if {
	some cell, where in places
	"low" in where
	some f in freezes[cell]
}

facts[cell] contains {"name": "reference", "limit": "battery.reference_temperature", "bound": "min"} if some cell in subjects

facts[cell] contains {"name": "margin", "limit": "battery.above_freezing", "bound": "min"} if some cell in subjects

facts[cell] contains {"name": "reason", "text": reason} if {
	some cell, reasons in unknown
	some reason in reasons
}
