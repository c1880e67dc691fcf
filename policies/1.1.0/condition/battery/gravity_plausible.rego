# METADATA
# scope: package
# title: No cell reads more than acid of a battery can
# description: |
#   A gravity above that of a full charge means that acid was added, water was lost or the reading is wrong. Strong acid
#   eats plates and separators; a cell that reads so high hides how little charge it holds.
# related_resources:
#   - ref: urn:text:NAVEDTRA-14344
#     description: "Acid adjustment, never above 1.350. That a reading above 1.300 is doubtful is common practice."
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   says: "{subject} reads {reading} at {temperature}[, {corrected} at {reference}]; no cell in service may have more than {ceiling}."
#   needs: "{subject}: a gravity by a valid hydrometer whose scale reaches it, with the electrolyte's temperature between {coldest} and {hottest}, is needed."
#   needs_state: "{subject} could not be judged for too strong acid: {reason}."
#   remedy: Read again with another hydrometer; if it stays, a specialist finds out whether acid was added and sets the acid right.
#   who: specialist
#   concession: lead
#   cautions:
#     - "Acid burns: eyes, hands and body are protected, and acid is never added or drawn off by who is not trained for it."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.gravity_plausible

import data.shared.battery
import data.shared.tolerance
import data.shared.visit

subjects contains cell if {
	visit.flooded
	some cell in battery.cells
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

# doubtful, impossible: where the corrected gravities of a cell stand to the two limits.
doubtful[cell] contains tolerance.exactly(r.q, data.limits.battery.gravity_plausible) if {
	some cell, readings in battery.corrected
	some r in readings
}

impossible[cell] contains tolerance.exactly(r.q, data.limits.battery.gravity_ceiling) if {
	some cell, readings in battery.corrected
	some r in readings
}

conforming contains cell if {
	some cell, {"in"} in doubtful
	cell in subjects
}

nonconforming contains cell if {
	some cell, places in impossible
	"high" in places
	cell in subjects
}

not_possible contains cell if {
	some cell, places in doubtful
	"high" in places
	impossible[cell] == {"in"}
	cell in subjects
}

not_possible contains cell if {
	some cell, _ in battery.no_gravity
	cell in subjects
}

facts[cell] contains fact if {
	some cell, told in battery.gravity_facts
	some fact in told
}

facts[cell] contains {"name": "ceiling", "limit": "battery.gravity_ceiling", "bound": "max"} if some cell in subjects

facts[cell] contains {"name": "reason", "text": "it reads above any full charge, so acid may have been added"} if {
	some cell, places in doubtful
	"high" in places
}
