# METADATA
# scope: package
# title: No plates are left bare
# description: |
#   Bare plates dry out and are lost. Found bare, they are just covered before the charge, since a charge lifts the level,
#   and brought to level after it: two attendances. Found bare and covered in a charged battery, they are put right.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "{subject}: {how}. The level above the plates was {found} as found and {left} as left (below zero they are bare); before a charge bare plates are covered by at most {cover}."
#   needs: "{subject}: the level as found and as left, and, where the plates were bare, proof of the charge are needed."
#   needs_state: "{subject} is not settled: {reason}."
#   remedy: Just cover the plates with distilled or deionised water, charge to the end, then bring to level; look again for lost capacity.
#   who: technician
#   concession: lead
#   cautions:
#     - "Electrolyte is acid: eyes, hands and body are protected; never add acid."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.plates_covered

import data.shared.battery
import data.shared.electrolyte
import data.shared.exact
import data.shared.tolerance
import data.shared.visit

subjects contains cell if {
	visit.flooded
	some cell in battery.cells
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

# found, left: whether the plates were bare.
found[cell] contains state[exact.above([0, 1], l.q)] if {
	some cell, levels in electrolyte.level.found
	some l in levels
}

left[cell] contains state[exact.above([0, 1], l.q)] if {
	some cell, levels in battery.level_left
	some l in levels
}

state := {true: "bare", false: "covered"}

# over_covered: more than just covered.
over_covered contains cell if {
	some cell, levels in battery.level_left
	some l in levels
	tolerance.exactly(l.q, data.limits.battery.plates_cover) == "high"
}

conforming contains cell if {
	some cell, {"covered"} in left
	cell in subjects
	found[cell] == {"covered"}
}

conforming contains cell if {
	battery.charged
	some cell, {"covered"} in left
	cell in subjects
	found[cell] == {"bare"}
}

nonconforming contains cell if some cell, _ in how

how[cell] contains "the plates are left bare" if {
	some cell, where in left
	"bare" in where
	cell in subjects
}

how[cell] contains "the plates were bare and were covered too far before the charge" if {
	count(battery.not_charged) > 0
	some cell in (over_covered & subjects)
	left[cell] == {"covered"}
	found[cell] == {"bare"}
}

not_possible contains cell if some cell, _ in why_not

why_not[cell] contains concat(" ", ["the plates were bare and are just covered; charge, then bring to level:", reason]) if {
	some cell, {"covered"} in left
	cell in (subjects - over_covered)
	found[cell] == {"bare"}
	some reason in battery.not_charged
}

why_not[cell] contains reason if {
	some cell, reasons in battery.no_level
	cell in subjects
	some reason in reasons
}

facts[cell] contains {"name": "how", "text": text} if {
	some cell, texts in how
	some text in texts
}

facts[cell] contains {"name": "found", "at": l.at} if {
	some cell, levels in electrolyte.level.found
	some l in levels
}

facts[cell] contains {"name": "left", "at": l.at} if {
	some cell, levels in battery.level_left
	some l in levels
}

facts[cell] contains {"name": "cover", "limit": "battery.plates_cover", "bound": "max"} if some cell in subjects

facts[cell] contains {"name": "reason", "text": reason} if {
	some cell, reasons in why_not
	some reason in reasons
}
