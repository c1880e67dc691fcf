# METADATA
# scope: package
# title: No cell lies far under the others
# description: |
#   One weak cell limits the whole pack and is soon reversed under load. It shows against the mean of the other cells,
#   compared only when all are full, mixed and at level.
# related_resources:
#   - ref: urn:text:TM-5-3740-214-14
#     description: "A cell 0.050 or more from the others that a recharge does not mend is replaced. That 0.030 is worth a note is common practice."
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   says: "{subject} reads {reading}[, {corrected} at {reference}]; that is {under} under the mean of the others. From {limit} it is weak, from {limit_major} it is suspect."
#   needs: "{subject} is compared with the mean of the others: the gravity of every cell by a valid hydrometer, its temperature and its level as found, and proof of the charge are needed."
#   needs_state: "{subject} could not be compared with the others: {reason}."
#   remedy: Give an equalising charge and read again; a cell that stays weak needs a specialist, and its block may need replacing.
#   who: specialist
#   concession: lead
#   cautions:
#     - "Charging gives off hydrogen: caps in, cover open, room aired, no spark or flame."
#     - "Blocks are heavy and full of acid: two people or a lifting aid, case upright."
#     - "Follow the battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.weak_cell

import data.shared.battery
import data.shared.exact
import data.shared.pack
import data.shared.visit

subjects contains cell if {
	visit.flooded
	some cell in battery.cells
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

limit := exact.difference(data.limits.battery.weak_cell_minor.max, data.units[data.limits.battery.weak_cell_minor.unit])

limit_major := exact.difference(data.limits.battery.weak_cell_major.max, data.units[data.limits.battery.weak_cell_major.unit])

severity[u.cell] := "minor" if {
	some u in pack.under_others
	exact.above(limit_major, u.q)
	u.cell in nonconforming
}

conforming contains u.cell if {
	pack.alike
	some u in pack.under_others
	exact.above(limit, u.q)
	u.cell in subjects
}

# A cell at the limit fails.
nonconforming contains u.cell if {
	pack.alike
	some u in pack.under_others
	exact.at_least(u.q, limit)
	u.cell in subjects
}

not_possible contains cell if {
	some cell in subjects
	count(pack.unlike | pack.unread) > 0
}

facts[cell] contains fact if {
	some cell, told in battery.gravity_facts
	some fact in told
	fact.name != "reason"
}

facts[u.cell] contains {"name": "under", "number": u.q[0], "scale": u.q[1], "place": 4, "unit": "sg"} if some u in pack.under_others

facts[cell] contains {"name": "limit", "limit": "battery.weak_cell_minor", "bound": "max"} if some cell in subjects

facts[cell] contains {"name": "limit_major", "limit": "battery.weak_cell_major", "bound": "max"} if some cell in subjects

facts[cell] contains {"name": "reason", "text": reason} if {
	some cell in subjects
	some reason in (pack.unlike | pack.unread)
}
