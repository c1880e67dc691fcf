# METADATA
# scope: package
# title: Every case is whole
# description: |
#   A cracked or leaking case loses acid into the machine. A bulged one was frozen, overheated or gassed: charging it
#   can burst it.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   basis: common practice
#   says: "{subject}: its case is {case}."
#   needs: "{subject}: the state of its case is needed."
#   needs_state: "{subject} could not be looked at: {reason}."
#   remedy: "Do not charge or water it; isolate, tag, let air in, and have the block replaced."
#   who: specialist
#   concession: never
#   cautions:
#     - "A damaged battery can leak acid or burst: keep away from flames and sparks, eye, hand and body protection on."
#     - "A block is heavy: two people or a lifting aid."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.cases_sound

import data.shared.battery
import data.shared.reasons
import data.shared.visit

subjects contains block if {
	"battery" in visit.areas
	some block in battery.blocks
}

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

case[concat(" ", ["block", b.block])] contains b.case if some b in input.visit.battery.blocks

conforming contains block if {
	some block, {"sound"} in case
	block in subjects
}

nonconforming contains block if {
	some block, states in case
	count(states & {"cracked", "bulged", "leaking"}) > 0
	block in subjects
}

not_possible contains block if some block in not_reached

not_reached contains block if {
	visit.cut_off
	some block in (subjects - object.keys(case))
}

facts[concat(" ", ["block", b.block])] contains {"name": "case", "at": sprintf("/battery/blocks/%d/case", [i])} if some i, b in input.visit.battery.blocks

facts[block] contains {"name": "reason", "text": reasons.ended} if some block in not_reached
