# METADATA
# scope: package
# title: No cell lies far under a full charge
# description: |
#   A cell far under its full charge is a warning of trouble in the battery or in its charging, not of a charge that
#   ended a little early. A reading taken in a state that makes it read low proves nothing when it is low.
# related_resources:
#   - ref: urn:text:TM-55-2210-224-12
#     description: "100 points below full charge is a warning of battery or charging trouble (starting batteries)."
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   says: "{subject} reads {reading} at {temperature}[, {corrected} at {reference}]; that is {limit} or more under the {full} of a full charge."
#   needs: "{subject}: a gravity by a valid hydrometer, with the electrolyte's temperature between {coldest} and {hottest} and the level as found, is needed."
#   needs_state: "{subject} could not be judged for trouble in battery or charging: {reason}."
#   remedy: Look at charger, cables and the charge log first, then at the cell; do not use the machine hard until the cause is known.
#   who: specialist
#   concession: lead
#   cautions:
#     - "Follow the battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.far_under_full

import data.shared.battery
import data.shared.exact
import data.shared.visit

subjects contains cell if {
	visit.flooded
	some cell in battery.cells
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

# least: the gravity that is too far under; a cell at it fails.
least := exact.subtract(battery.full_gravity, exact.difference(data.limits.battery.far_under_full.max, data.units[data.limits.battery.far_under_full.unit]))

places[cell] contains "near" if {
	some cell, readings in battery.corrected
	some r in readings
	exact.above(r.q, least)
}

places[cell] contains "far" if {
	some cell, readings in battery.corrected
	some r in readings
	exact.at_least(least, r.q)
}

conforming contains cell if {
	some cell, {"near"} in places
	cell in subjects
	cell in battery.not_high
}

nonconforming contains cell if {
	some cell, where in places
	"far" in where
	cell in subjects
	cell in battery.not_low
}

not_possible contains cell if {
	some cell, where in places
	"far" in where
	cell in subjects
	battery.reads_low[cell]
}

not_possible contains cell if {
	some cell, {"near"} in places
	cell in subjects
	battery.reads_high[cell]
}

not_possible contains cell if {
	some cell, _ in battery.no_gravity
	cell in subjects
}

facts[cell] contains fact if {
	some cell, told in battery.gravity_facts
	some fact in told
}

facts[cell] contains {"name": "limit", "limit": "battery.far_under_full", "bound": "max"} if some cell in subjects

facts[cell] contains {"name": "full", "number": battery.full_gravity[0], "scale": battery.full_gravity[1], "place": 3, "unit": "sg"} if some cell in subjects

facts[cell] contains {"name": "reason", "text": reason} if {
	some biases in [battery.reads_low, battery.reads_high]
	some cell, why in biases
	some reason in why
}
