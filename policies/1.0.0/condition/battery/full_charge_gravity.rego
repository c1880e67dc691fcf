# METADATA
# scope: package
# title: Every cell reaches the gravity of a full charge
# description: |
#   A cell that stays under the gravity of a full charge holds less than it should; left so, it sulphates and drags the
#   others down. A reading taken in a state that makes it read low proves nothing when it is low, and one taken under
#   the least level proves nothing when it is high.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "{subject} reads {reading} at {temperature}[, {corrected} at {reference}]; a full charge reads at least {limit}."
#   needs: "{subject}: a gravity by a valid hydrometer, with the electrolyte's temperature between {coldest} and {hottest} and the level as found, is needed."
#   needs_state: "{subject} could not be judged for full charge: {reason}."
#   remedy: Charge to the end, let it settle and read again; a cell that stays low needs an equalising charge or a specialist.
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Charging gives off hydrogen: caps in, cover open, room aired, no spark or flame."
#     - "Electrolyte is acid: eyes, hands and body are protected."
#     - "Follow the battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package condition.battery.full_charge_gravity

import data.shared.battery
import data.shared.exact
import data.shared.visit

subjects contains cell if {
	visit.flooded
	some cell in battery.cells
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

# places: where the corrected gravities of a cell stand to the limit.
places[cell] contains "reaches" if {
	some cell, readings in battery.corrected
	some r in readings
	exact.at_least(r.q, battery.full_limit)
}

places[cell] contains "under" if {
	some cell, readings in battery.corrected
	some r in readings
	exact.above(battery.full_limit, r.q)
}

conforming contains cell if {
	some cell, {"reaches"} in places
	cell in subjects
	cell in battery.not_high
}

nonconforming contains cell if {
	some cell, where in places
	"under" in where
	cell in subjects
	cell in battery.not_low
}

# A low reading in a state that reads low, or a fine one under a low level, is no proof either way.
not_possible contains cell if {
	some cell, where in places
	"under" in where
	cell in subjects
	battery.reads_low[cell]
}

not_possible contains cell if {
	some cell, {"reaches"} in places
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

facts[cell] contains {"name": "limit", "number": battery.full_limit[0], "scale": battery.full_limit[1], "place": 3, "unit": "sg"} if some cell in subjects

facts[cell] contains {"name": "reason", "text": reason} if {
	some cell, why in battery.reads_low
	some reason in why
}

facts[cell] contains {"name": "reason", "text": reason} if {
	some cell, why in battery.reads_high
	some reason in why
}
