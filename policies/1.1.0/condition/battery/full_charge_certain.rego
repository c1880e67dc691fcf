# METADATA
# scope: package
# title: Every full charge lies above its limit beyond doubt
# description: |
#   A hydrometer that may be out by 0.002 cannot tell 1.261 from 1.259. A cell is asked to lie above the limit of a full
#   charge by at least the expanded uncertainty of the hydrometer; one that lies nearer is no fault, but nobody knows on
#   which side it is. The uncertainty of the thermometer is not counted.
# related_resources:
#   - ref: https://www.bipm.org/en/committees/jc/jcgm/publications
#     description: "JCGM 106:2012, guarded acceptance and guarded rejection."
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: minor
#   says: "{subject} reads {reading} at {temperature}[, {corrected} at {reference}]; a full charge reads at least {limit}, and the cell lies under it by more than the hydrometer may be out, which is {doubt}."
#   needs: "{subject}: a gravity by a valid hydrometer that states its uncertainty, with the electrolyte's temperature between {coldest} and {hottest} and the level as found, is needed."
#   needs_state: "{subject} could not be held against the uncertainty of the hydrometer: {reason}."
#   needs_limit: "{subject} reads {reading} at {temperature}[, {corrected} at {reference}]; a full charge reads at least {limit}, and the hydrometer, which may be out by {doubt}, is not fine enough to tell on which side the cell lies."
#   remedy: Read again after the next full charge, if need be with a finer hydrometer; a cell that stays under the limit needs an equalising charge or a specialist.
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Charging gives off hydrogen: caps in, cover open, room aired, no spark or flame."
#     - "Electrolyte is acid: eyes, hands and body are protected."
#     - "Follow the battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package condition.battery.full_charge_certain

import data.shared.battery
import data.shared.exact
import data.shared.instruments
import data.shared.tolerance
import data.shared.visit

subjects contains cell if {
	visit.flooded
	some cell in battery.cells
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

# places: where the corrected gravities of a cell stand to the limit, by the uncertainty of their hydrometers.
places[cell] contains place if {
	some cell, readings in battery.corrected
	some r in readings
	u2 := instruments.u2(r.reading, "gravity")
	place := tolerance.state(exact.subtract(r.q, battery.full_limit), data.limits.battery.full_charge_margin, u2)
}

# above, near: what a cell's readings may say together for it not to be under the limit, and for it to be in doubt.
above := {{"in"}, {"close"}, {"in", "close"}}

near := {{"close"}, {"in", "close"}}

conforming contains cell if {
	some cell, {"in"} in places
	cell in subjects
	cell in battery.not_high
}

nonconforming contains cell if {
	some cell, where in places
	"low" in where
	cell in subjects
	cell in battery.not_low
}

too_close contains cell if {
	some cell, where in places
	where in near
	cell in subjects
	cell in battery.not_low
	cell in battery.not_high
}

# A reading that may be low is no proof unless it lies above, nor one that may be high unless it lies under.
not_possible contains cell if {
	some cell, where in places
	count(where - {"in"}) > 0
	cell in subjects
	some _ in battery.reads_low[cell]
}

not_possible contains cell if {
	some cell, where in places
	where in above
	cell in subjects
	some _ in battery.reads_high[cell]
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

facts[cell] contains {"name": "doubt", "number": u[0], "scale": u[1], "place": 4, "unit": "sg"} if {
	some cell, readings in battery.corrected
	some r in readings
	u := instruments.uncertainty(r.reading, "gravity")
}

facts[cell] contains {"name": "reason", "text": reason} if {
	some cell, why in battery.reads_low
	some reason in why
}

facts[cell] contains {"name": "reason", "text": reason} if {
	some cell, why in battery.reads_high
	some reason in why
}
