# METADATA
# scope: package
# title: The sealed blocks stand level at rest
# description: |
#   Blocks of one string that drift apart at rest have begun to fail: one is undercharged by every charge, the other
#   overcharged and dried out.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "At rest the blocks stand from {lowest} to {highest}, {spread} apart; at most {most} is allowed."
#   needs: "The voltage of every block by a valid voltmeter, and the hours of rest before them with no charge that speaks against them, are needed."
#   needs_state: "The blocks could not be compared: {reason}."
#   needs_limit: "At rest the blocks stand from {lowest} to {highest}, {spread} apart; at most {most} is allowed, and the voltmeter is not fine enough to tell on which side that lies."
#   remedy: Charge by the battery's manual, let it rest and measure again; a block that stays apart is replaced, or the set is.
#   who: specialist
#   concession: lead
#   cautions:
#     - "A tool across two posts short-circuits the battery: insulated tools, jewellery off."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.sealed_voltage_spread

import data.shared.battery
import data.shared.exact
import data.shared.reasons
import data.shared.tolerance
import data.shared.visit
import data.shared.voltage

subjects contains "battery" if visit.sealed

spared contains "the pack is flooded" if visit.flooded

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

limit := visit.class.battery.voltage_spread

# stands: the blocks of the string at one stage, and between which voltages they lie. A difference of two readings, each
# no better than the coarser.
stands contains {"low": low, "high": high, "q": exact.subtract(high, low), "u2": exact.times(exact.greatest([v.u2 | some v in same]), [2, 1])} if {
	some stage in {"as_found", "as_left"}
	same := {{"block": block, "q": v.q, "u2": v.u2} |
		some block, shows in voltage.block
		block in battery.blocks
		some v in shows
		v.stage == stage
	}
	count(same) == count(battery.blocks)
	low := exact.least([v.q | some v in same])
	high := exact.greatest([v.q | some v in same])
}

places contains tolerance.state(s.q, limit, s.u2) if {
	tolerance.exactly(voltage.rest, data.limits.battery.rest_for_sealed_voltage) == "in"
	voltage.rest_possible
	some s in stands
}

conforming contains "battery" if {
	"battery" in subjects
	places == {"in"}
}

nonconforming contains "battery" if {
	"battery" in subjects
	"high" in places
}

too_close contains "battery" if {
	"battery" in subjects
	places == {"close"}
}

not_possible contains "battery" if {
	"battery" in subjects
	count(why) > 0
}

why contains reasons.state["not-rested"] if tolerance.exactly(voltage.rest, data.limits.battery.rest_for_sealed_voltage) == "low"

why contains sprintf("%s (%s)", [reason, block]) if {
	some block, said in voltage.not_had
	block in battery.blocks
	some reason in said
	reason != reasons.state["not-rested"]
}

# What had not rested had not rested as a whole.
why contains reasons.state["not-rested"] if {
	some block, said in voltage.not_had
	block in battery.blocks
	reasons.state["not-rested"] in said
}

why contains reasons.ended if {
	visit.cut_off
	count(places) == 0
}

facts.battery contains {"name": "lowest", "number": s.low[0], "scale": s.low[1], "place": 3, "unit": "V"} if some s in stands

facts.battery contains {"name": "highest", "number": s.high[0], "scale": s.high[1], "place": 3, "unit": "V"} if some s in stands

facts.battery contains {"name": "spread", "number": s.q[0], "scale": s.q[1], "place": 3, "unit": "V"} if some s in stands

facts.battery contains {"name": "most", "number": most[0], "scale": most[1], "place": 2, "unit": "V"} if most := exact.of(limit.max, data.units[limit.unit])

facts.battery contains {"name": "reason", "text": reason} if some reason in why
