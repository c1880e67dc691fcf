# METADATA
# title: Which way a gravity may be wrong
# description: |
#   The state in which a gravity was taken gives its bias a direction. What was not full, not mixed or overfull reads
#   low: a value at the limit still proves. What stood under the least level reads high: a value under the limit still
#   proves. Both for the visit under judgement and for the earlier one (visit.slots).
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.bias

import data.shared.charge
import data.shared.electrolyte
import data.shared.exact
import data.shared.instruments
import data.shared.tolerance
import data.shared.visit

# level: where the usable levels of a cell as found stand to the least one.
level[slot][concat(" ", ["cell", c.cell])] contains tolerance.exactly(exact.of(r.value, data.units[r.unit]), data.limits.battery.level_above_plates) if {
	some slot, v in visit.slots
	some c in v.battery.cells
	r := c.level.as_found
	instruments.usable_in(slot, r, "length")
}

overfull[slot] contains concat(" ", ["cell", c.cell]) if {
	some slot, v in visit.slots
	some c in v.battery.cells
	c.over_mark_found == true
}

not_overfull[slot] contains concat(" ", ["cell", c.cell]) if {
	some slot, v in visit.slots
	some c in v.battery.cells
	c.over_mark_found == false
}

# low, high: the reasons, standing in the record, why a cell's gravity may read low or high.
low[slot][cell] contains reason if {
	some slot, reasons in charge.not_full
	some cell, _ in electrolyte.block_of
	some reason in reasons
}

low[slot][cell] contains reason if {
	some slot, reasons in charge.not_settled
	some cell, _ in electrolyte.block_of
	some reason in reasons
}

low[slot][cell] contains "the machine was run before the reading" if {
	some slot, _ in charge.run_before
	some cell, _ in electrolyte.block_of
}

low[slot][cell] contains "the cell was overfull" if {
	some slot, cells in overfull
	some cell in cells
}

high[slot][cell] contains "the level was too low, and a low level reads high" if {
	some slot, cells in level
	some cell, places in cells
	"low" in places
}

# not_low, not_high: cells proven free of every such reason.
not_low[slot] contains cell if {
	some slot, cells in not_overfull
	slot in charge.full
	slot in charge.settled
	charge.read[slot]
	count(object.get(charge.run_before, slot, set())) == 0
	some cell in cells
}

not_high[slot] contains cell if {
	some slot, cells in level
	some cell, places in cells
	places == {"in"}
}
