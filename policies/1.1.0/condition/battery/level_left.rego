# METADATA
# scope: package
# title: Every cell is left at level
# description: |
#   Too little electrolyte bares the plates before the next visit, too much is pushed out by the next charge and eats the
#   machine. The level is judged after the charge and from 50 °F up, since an uncharged or cold cell stands lower.
# related_resources:
#   - ref: urn:text:TM-9-6140-200-14
#     description: "Paragraph 4-8, cold cells read low. At least 1/8 in above the plates, and 50 °F, are common practice."
#   - ref: urn:text:TM-55-2210-224-12
#     description: "The mark is 1/8 in under the filling tube."
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   says: "{subject} is left {how}: {level} above the plates; at least {limit} is right, and not over the mark."
#   needs: "{subject}: the level as left, whether it is over the mark, the electrolyte's temperature and proof of the charge are needed."
#   needs_state: "The level of {subject} could not be judged: {reason}."
#   remedy: "Too low: water after a full charge, distilled or deionised only. Over the mark: take none out, clean and look again after the next charge."
#   who: technician
#   concession: lead
#   cautions:
#     - "Electrolyte is acid: eyes, hands and body are protected; never add acid, and draw none off."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.level_left

import data.shared.battery
import data.shared.tolerance
import data.shared.visit

subjects contains cell if {
	visit.flooded
	some cell in battery.cells
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

places[cell] contains tolerance.exactly(l.q, data.limits.battery.level_above_plates) if {
	some cell, levels in battery.level_left
	some l in levels
}

# warmth: where the temperatures of a cell stand to the least one at which its level is judged.
warmth[cell] contains tolerance.exactly(t.q, data.limits.battery.level_temperature) if {
	some cell, readings in battery.temperature
	some t in readings
}

over contains concat(" ", ["cell", c.cell]) if {
	some c in input.visit.battery.cells
	c.over_mark_left == true
}

not_over contains concat(" ", ["cell", c.cell]) if {
	some c in input.visit.battery.cells
	c.over_mark_left == false
}

conforming contains cell if {
	some cell, {"in"} in places
	cell in subjects
	cell in not_over
	warmth[cell] == {"in"}
}

nonconforming contains cell if some cell in (over & subjects)

nonconforming contains cell if some cell in low

low contains cell if {
	battery.charged
	some cell, where in places
	"low" in where
	cell in subjects
	warmth[cell] == {"in"}
}

# Too much is a nuisance, too little a danger to the plates.
severity[cell] := "minor" if some cell in ((over & subjects) - low)

not_possible contains cell if some cell, _ in why_not

why_not[cell] contains concat(" ", ["it is low before the charge, and water goes in after it:", reason]) if {
	some cell, where in places
	"low" in where
	cell in (subjects - over)
	some reason in battery.not_charged
}

why_not[cell] contains "cold electrolyte stands low" if {
	some cell, where in warmth
	"low" in where
	cell in (subjects - over)
}

why_not[cell] contains reason if {
	some cell, found in battery.no_level
	cell in (subjects - over)
	some reason in found
}

why_not[cell] contains reason if {
	some cell, found in battery.no_temperature
	cell in (subjects - over)
	some reason in found
}

facts[cell] contains {"name": "level", "at": l.at} if {
	some cell, levels in battery.level_left
	some l in levels
}

facts[cell] contains {"name": "how", "text": "too low"} if some cell in low

facts[cell] contains {"name": "how", "text": "over the mark"} if some cell in over

facts[cell] contains {"name": "limit", "limit": "battery.level_above_plates", "bound": "min"} if some cell in subjects

facts[cell] contains {"name": "reason", "text": reason} if {
	some cell, found in why_not
	some reason in found
}
