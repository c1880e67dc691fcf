# METADATA
# scope: package
# title: The electrolyte of every cell is clear
# description: |
#   Cloudy electrolyte holds sediment or dirt; brown electrolyte holds shed plate material, and the cell is near its end.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "The electrolyte of {subject} is {look}."
#   needs: "{subject}: the look of the electrolyte is needed."
#   needs_state: "The electrolyte of {subject} could not be looked at: {reason}."
#   remedy: "Cloudy: look again after a full charge and ask what water is used. Brown: a specialist tests the block; it may need replacing."
#   who: specialist
#   concession: lead
#   cautions:
#     - "Electrolyte is acid: eyes, hands and body are protected."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.electrolyte_clear

import data.shared.battery
import data.shared.reasons
import data.shared.visit

subjects contains cell if {
	visit.flooded
	some cell in battery.cells
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

look[concat(" ", ["cell", c.cell])] contains {"is": c.clarity, "at": sprintf("/battery/cells/%d/clarity", [i])} if some i, c in input.visit.battery.cells

conforming contains cell if {
	some cell, looks in look
	cell in subjects
	{l.is | some l in looks} == {"clear"}
}

nonconforming contains cell if {
	some cell, looks in look
	cell in subjects
	some l in looks
	l.is in {"cloudy", "brown"}
}

severity[cell] := "minor" if {
	some cell, looks in look
	cell in subjects
	{l.is | some l in looks} == {"cloudy"}
}

not_possible contains cell if some cell in ended

ended contains cell if some cell in (battery.unseen & subjects)

ended contains cell if {
	visit.cut_off
	some cell, looks in look
	cell in subjects
	{l.is | some l in looks} == {"not-looked"}
}

facts[cell] contains {"name": "look", "at": l.at} if {
	some cell, looks in look
	some l in looks
}

facts[cell] contains {"name": "reason", "text": reasons.ended} if some cell in ended
