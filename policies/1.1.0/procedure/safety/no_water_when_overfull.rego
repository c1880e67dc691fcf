# METADATA
# scope: package
# title: A cell that is overfull gets no water
# description: |
#   An overfull cell runs over at the next charge and loses acid for good. It is left as it is, the customer told, the box
#   cleaned, and looked at again after the next charge; nothing is drawn off.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "{subject} stood over its mark at {found}, and stood at {left} after watering."
#   needs: "{subject}: whether it stood over its mark is needed; where it did and water was added, its level as found and as left."
#   needs_state: "{subject} could not be looked at: the visit was cut off before it."
#   remedy: Leave an overfull cell alone, clean what ran over, tell the customer and look again after the next charge.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - What runs over is acid; do not draw it off, follow the battery's manual and local codes, and leave it to a qualified person if in doubt.
package procedure.safety.no_water_when_overfull

import data.shared.battery
import data.shared.steps
import data.shared.visit
import data.shared.water

subjects contains cell if {
	visit.attended
	visit.flooded
	some cell in battery.cells
}

spared contains "nobody attended the machine" if visit.not_available

spared contains "the pack is sealed" if {
	visit.attended
	visit.sealed
}

spared contains "the battery is not in the scope of this visit" if {
	visit.attended
	"battery" in visit.out_of_scope
}

# over, under: cells found over their mark, and cells found not over it.
over[concat(" ", ["cell", c.cell])] contains i if {
	some i, c in input.visit.battery.cells
	c.over_mark_found == true
}

under contains concat(" ", ["cell", c.cell]) if {
	some c in input.visit.battery.cells
	c.over_mark_found == false
}

filled contains cell if {
	some cell, _ in over
	cell in water.rose
}

left_alone contains cell if {
	some cell, _ in over
	cell in (water.stayed - water.rose)
}

left_alone contains cell if {
	some cell, _ in over
	input.visit.battery.watering.done == false
}

conforming contains cell if some cell in (((under | left_alone) - filled) & subjects)

nonconforming contains cell if some cell in (filled & subjects)

noted contains concat(" ", ["cell", c.cell]) if some c in input.visit.battery.cells

not_possible contains cell if {
	"electrolyte-level" in steps.not_reached
	some cell in (subjects - noted)
}

facts[cell] contains {"name": "found", "at": sprintf("/battery/cells/%d/level/as_found", [i])} if {
	some cell, places in over
	some i in places
}

facts[cell] contains {"name": "left", "at": sprintf("/battery/cells/%d/level/as_left", [i])} if {
	some cell, places in over
	some i in places
}
