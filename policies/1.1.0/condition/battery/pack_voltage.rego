# METADATA
# scope: package
# title: The blocks add up to the pack
# description: |
#   The voltages of the blocks in a string add up to the pack's. Where they do not, one was misread or left out, a lead is
#   on the wrong post, or the pack was not at rest while it was measured.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "The pack shows {pack}; its blocks add up to {sum}."
#   needs: "The voltage of the pack and of each of its blocks, taken together by a valid voltmeter, is needed."
#   needs_state: "The pack's voltage could not be held against its blocks': {reason}."
#   needs_limit: "The pack shows {pack}; its blocks add up to {sum}. The voltmeter is not fine enough to tell whether they agree."
#   remedy: Measure pack and blocks again, one after the other, with nothing switched on.
#   who: technician
#   concession: lead
#   cautions:
#     - "A tool across two posts short-circuits the battery: insulated tools, jewellery off."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.pack_voltage

import data.shared.battery
import data.shared.exact
import data.shared.reasons
import data.shared.tolerance
import data.shared.visit
import data.shared.voltage

subjects contains "battery" if "battery" in visit.areas

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

# sums: all blocks of the string at one stage, with the square of their uncertainty.
sums contains {"q": exact.sum_of([v.q | some v in same]), "u2": exact.sum_of([v.u2 | some v in same]), "stage": stage} if {
	some stage in {"as_found", "as_left"}
	same := {{"block": block, "q": v.q, "u2": v.u2} |
		some block, shows in voltage.block
		block in battery.blocks
		some v in shows
		v.stage == stage
	}
	count(same) == count(battery.blocks)
}

places contains tolerance.state(exact.subtract(p.q, s.q), data.limits.battery.pack_voltage_tolerance, exact.add(p.u2, s.u2)) if {
	some p in voltage.pack
	some s in sums
	p.stage == s.stage
}

conforming contains "battery" if {
	"battery" in subjects
	places == {"in"}
}

nonconforming contains "battery" if {
	"battery" in subjects
	count(places & {"low", "high"}) > 0
}

too_close contains "battery" if {
	"battery" in subjects
	places == {"close"}
}

not_possible contains "battery" if {
	"battery" in subjects
	count(why) > 0
}

why contains reason if {
	some reason in voltage.pack_not_had
}

why contains reason if {
	some block, said in voltage.not_had
	block in battery.blocks
	some reason in said
}

why contains reasons.ended if {
	visit.cut_off
	count(places) == 0
}

# That a pack had not rested is no fault of its voltages: the same is spared block by block.
severity.battery := "minor" if {
	tolerance.exactly(voltage.rest, data.limits.battery.rest_for_voltage) == "low"
	why == {reasons.state["not-rested"]}
}

facts.battery contains {"name": "pack", "at": p.at} if some p in voltage.pack

facts.battery contains {"name": "sum", "number": s.q[0], "scale": s.q[1], "place": 2, "unit": "V"} if some s in sums

facts.battery contains {"name": "reason", "text": reason} if some reason in why
