# METADATA
# title: Water
# description: |
#   What the levels of a cell, as found and as left, say about water: whether it rose, stayed, or had been down to the
#   plates. Only usable levels say anything.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.water

import data.shared.exact
import data.shared.instruments
import data.shared.tolerance

found[concat(" ", ["cell", c.cell])] contains exact.of(c.level.as_found.value, data.units[c.level.as_found.unit]) if {
	some c in input.visit.battery.cells
	instruments.usable(c.level.as_found, "length")
}

left[concat(" ", ["cell", c.cell])] contains exact.of(c.level.as_left.value, data.units[c.level.as_left.unit]) if {
	some c in input.visit.battery.cells
	instruments.usable(c.level.as_left, "length")
}

# rose, stayed: cells whose level went up, and cells whose level did not.
rose contains cell if {
	some cell, before in found
	some b in before
	some a in left[cell]
	exact.above(a, b)
}

stayed contains cell if {
	some cell, before in found
	some b in before
	some a in left[cell]
	exact.at_least(b, a)
}

# bare: cells found down to the top of their plates or below; covered: cells found above it.
bare contains cell if {
	some cell, levels in found
	some q in levels
	q[0] <= 0
}

covered contains cell if {
	some cell, levels in found
	some q in levels
	q[0] > 0
}

# just_covered, too_full: where the levels as left stand to what may cover bare plates before a charge.
just_covered contains cell if {
	some cell, levels in left
	some q in levels
	tolerance.exactly(q, data.limits.battery.plates_cover) == "in"
}

too_full contains cell if {
	some cell, levels in left
	some q in levels
	tolerance.exactly(q, data.limits.battery.plates_cover) == "high"
}
