# METADATA
# scope: package
# title: The cells of the pack lie close together
# description: |
#   Cells that drift apart are charged and discharged unevenly: the weakest is run flat while the strongest is
#   overcharged. Cells are compared only when all are full, mixed and at level.
# related_resources:
#   - ref: urn:text:TM-9-6140-200-14
#     description: "Paragraphs 4-6 and 4-7, more than 0.025 between any two cells of a charged battery (starting batteries)."
#   - ref: urn:text:TM-55-2210-224-12
#     description: "More than 0.020 between cells may mean a dead cell (starting batteries)."
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   says: "The gravities of the pack lie {spread} apart at {reference}: lowest {low} ({lowest}), highest {high} ({highest}). At most {limit} is allowed; more than {limit_major} is grave."
#   needs: "The spread of the pack needs the gravity of every cell by a valid hydrometer, its temperature and its level as found, and proof of the charge."
#   needs_state: "The spread of the pack could not be judged: {reason}."
#   remedy: Give an equalising charge and read again; cells that stay apart need a specialist.
#   who: technician
#   concession: lead
#   cautions:
#     - "Charging gives off hydrogen: caps in, cover open, room aired, no spark or flame."
#     - "Follow the battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.gravity_spread

import data.shared.exact
import data.shared.pack
import data.shared.tolerance
import data.shared.visit

subjects contains "battery" if visit.flooded

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

place := tolerance.exactly(pack.spread, data.limits.battery.spread_minor)

place_major := tolerance.exactly(pack.spread, data.limits.battery.spread_major)

severity[subject] := "minor" if {
	some subject in nonconforming
	place_major == "in"
}

conforming contains subject if {
	some subject in subjects
	pack.alike
	pack.complete
	place == "in"
}

# Two cells too far apart prove it, whatever a missing one would read.
nonconforming contains subject if {
	some subject in subjects
	pack.alike
	place == "high"
}

not_possible contains subject if {
	some subject in subjects
	count(pack.unlike) > 0
}

not_possible contains subject if {
	some subject in subjects
	count(pack.unread) > 0
	place == "in"
}

not_possible contains subject if {
	some subject in subjects
	count(pack.unread) > 0
	count(pack.gravity) == 0
}

facts[subject] contains {"name": "spread", "number": pack.spread[0], "scale": pack.spread[1], "place": 4, "unit": "sg"} if some subject in subjects

facts[subject] contains {"name": "low", "number": pack.lowest[0], "scale": pack.lowest[1], "place": 4, "unit": "sg"} if some subject in subjects

facts[subject] contains {"name": "high", "number": pack.highest[0], "scale": pack.highest[1], "place": 4, "unit": "sg"} if some subject in subjects

facts[subject] contains {"name": "lowest", "text": g.cell} if {
	some subject in subjects
	some g in pack.gravity
	exact.at_least(pack.lowest, g.q)
}

facts[subject] contains {"name": "highest", "text": g.cell} if {
	some subject in subjects
	some g in pack.gravity
	exact.at_least(g.q, pack.highest)
}

facts[subject] contains {"name": "reference", "limit": "battery.reference_temperature", "bound": "min"} if some subject in subjects

facts[subject] contains {"name": "limit", "limit": "battery.spread_minor", "bound": "max"} if some subject in subjects

facts[subject] contains {"name": "limit_major", "limit": "battery.spread_major", "bound": "max"} if some subject in subjects

facts[subject] contains {"name": "reason", "text": reason} if {
	some subject in subjects
	some reason in (pack.unlike | pack.unread)
}
