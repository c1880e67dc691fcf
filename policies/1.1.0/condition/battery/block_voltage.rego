# METADATA
# scope: package
# title: Every block's rest voltage agrees with its acid
# description: |
#   At rest a cell shows its gravity plus 0.84 V. A block that stands lower than its acid says has a cell that leaks or is
#   shorted, or was misread. Cells inside a block cannot be measured one by one, so the block is held against their sum.
#   Water that no charge has mixed in makes the acid on top read low, so until then only a low voltage proves something.
#   The errors of one hydrometer add up over the cells of a block; the thermometer's part, 0.0004 a °F, is left out, being
#   a few hundredths of the tolerance.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# related_resources:
#   - ref: urn:text:TM-5-684
#     description: "TM 5-684 / NAVFAC MO-200 / AFJMAN 32-1082, equation 14-1: cell voltage is gravity plus 0.84, electrolyte mixed and more than 16 hours off charge; the tolerance is common practice"
# custom:
#   severity: major
#   says: "{subject} stood at {voltage} after its rest; its acid says {expected}, give or take {tolerance}."
#   needs: "{subject}: its rest voltage and the gravities of all its cells, taken together by valid instruments, and the hours of rest are needed, with no charge that speaks against the rest."
#   needs_state: "The voltage of {subject} could not be judged: {reason}."
#   needs_limit: "{subject} stood at {voltage}; its acid says {expected}, give or take {tolerance}. The instruments are not fine enough to tell on which side it lies."
#   remedy: Measure voltage and gravities again; a block that stays low goes to a specialist for a load test.
#   who: specialist
#   concession: lead
#   cautions:
#     - "A tool across two posts short-circuits the battery: insulated tools, jewellery off."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.block_voltage

import data.shared.battery
import data.shared.exact
import data.shared.instruments
import data.shared.reasons
import data.shared.tolerance
import data.shared.visit
import data.shared.voltage

# A pack that is known not to have rested is spared; one of which nothing is known is not.
subjects contains block if {
	visit.flooded
	count(spared) == 0
	some block in battery.blocks
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

spared contains "the pack had not rested" if {
	visit.flooded
	tolerance.exactly(voltage.rest, data.limits.battery.rest_for_voltage) == "low"
}

rested if {
	tolerance.exactly(voltage.rest, data.limits.battery.rest_for_voltage) == "in"
	voltage.rest_possible
}

offset := exact.of(data.limits.battery.cell_voltage_offset.min, data.units[data.limits.battery.cell_voltage_offset.unit])

limit := data.limits.battery.block_voltage_tolerance

cells_each := visit.class.battery.cells_each

# acid: the corrected gravities of a block's cells.
acid[block] contains {"cell": cell, "q": r.q, "u": instruments.uncertainty(r.reading, "gravity"), "at": r.at} if {
	some cell, readings in battery.corrected
	some c, block in battery.block_of
	c == cell
	some r in readings
}

# expected: what the acid of a block says, from gravities taken at the same stage as its voltage, with the square of its
# uncertainty; departure: how far the voltage lies from it, a cell.
expected[block] contains {"q": exact.add(exact.sum_of([r.q | some r in same]), exact.times(offset, [cells_each, 1])), "u2": exact.times(u, u), "stage": stage} if {
	some block, readings in acid
	some stage in {"as_found", "as_left"}
	same := {r | some r in readings; endswith(r.at, stage)}
	count(same) == cells_each
	u := exact.sum_of([r.u | some r in same])
}

departure[block] contains {"q": exact.over(exact.subtract(v.q, e.q), cells_each), "u2": exact.over(exact.add(v.u2, e.u2), cells_each * cells_each)} if {
	some block, says in expected
	some b, shows in voltage.block
	b == block
	some e in says
	some v in shows
	v.stage == e.stage
}

places[block] contains tolerance.state(d.q, limit, d.u2) if {
	rested
	some block, departures in departure
	some d in departures
}

conforming contains block if {
	battery.settled
	some block, {"in"} in places
	block in subjects
}

nonconforming contains block if {
	some block, stands in places
	"low" in stands
	block in subjects
}

nonconforming contains block if {
	battery.settled
	some block, stands in places
	"high" in stands
	block in subjects
}

too_close contains block if {
	some block, {"close"} in places
	block in (subjects - unmixed)
}

not_possible contains block if some block, _ in why

# unmixed: blocks whose acid may read low, so that a voltage that is not low proves nothing.
unmixed contains block if {
	count(battery.not_settled) > 0
	some block, stands in places
	count(stands & {"in", "high", "close"}) > 0
	block in subjects
}

why[block] contains reason if {
	some block in unmixed
	some reason in battery.not_settled
}

why[block] contains reason if {
	some block, said in voltage.not_had
	block in subjects
	some reason in said
}

why[block] contains reasons.ended if {
	visit.cut_off
	some block in ((subjects - object.keys(places)) - object.keys(voltage.not_had))
}

facts[block] contains {"name": "voltage", "at": v.at} if {
	some block, shows in voltage.block
	some v in shows
}

facts[block] contains {"name": "expected", "number": e.q[0], "scale": e.q[1], "place": 2, "unit": "V"} if {
	some block, says in expected
	some e in says
}

facts[block] contains {"name": "tolerance", "number": t[0], "scale": t[1], "place": 2, "unit": "V"} if {
	some block in subjects
	t := exact.times(exact.of(limit.max, data.units[limit.unit]), [cells_each, 1])
}

facts[block] contains {"name": "reason", "text": reason} if {
	some block, said in why
	some reason in said
}
