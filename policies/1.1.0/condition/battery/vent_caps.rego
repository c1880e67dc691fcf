# METADATA
# scope: package
# title: Every vent cap is there, whole and tight
# description: |
#   Caps keep acid in and sparks out while the battery gasses. A missing or broken one lets acid spray over the posts at
#   every charge.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "The vent cap of {subject} is {cap}."
#   needs: "{subject}: the state of its vent cap is needed."
#   needs_state: "The vent cap of {subject} could not be looked at: {reason}."
#   remedy: "Loose: seat it and tighten it by hand. Damaged or missing: fit a new one of the same kind before the next charge."
#   who: technician
#   concession: lead
#   cautions:
#     - "Electrolyte is acid: eyes, hands and body are protected. Nothing is tightened with a tool."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.vent_caps

import data.shared.battery
import data.shared.reasons
import data.shared.visit

subjects contains cell if {
	visit.flooded
	some cell in battery.cells
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

cap[concat(" ", ["cell", c.cell])] contains {"is": c.cap, "at": sprintf("/battery/cells/%d/cap", [i])} if some i, c in input.visit.battery.cells

conforming contains cell if {
	some cell, caps in cap
	cell in subjects
	{x.is | some x in caps} == {"tight"}
}

nonconforming contains cell if {
	some cell, caps in cap
	cell in subjects
	some x in caps
	x.is in {"loose", "damaged", "missing"}
}

severity[cell] := "minor" if {
	some cell, caps in cap
	cell in subjects
	{x.is | some x in caps} == {"loose"}
}

not_possible contains cell if some cell in (battery.unseen & subjects)

facts[cell] contains {"name": "cap", "at": x.at} if {
	some cell, caps in cap
	some x in caps
}

facts[cell] contains {"name": "reason", "text": reasons.ended} if some cell in battery.unseen
