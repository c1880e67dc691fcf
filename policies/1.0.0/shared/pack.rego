# METADATA
# title: The cells of a pack beside each other
# description: |
#   Cells are compared with each other only when every one of them was full, mixed and at level: alike is the proof of
#   it, unlike the reasons, standing in the record, why they were not.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.pack

import data.shared.battery
import data.shared.bias
import data.shared.charge
import data.shared.exact

# gravity: every corrected gravity of a cell of the class, as {"cell", "q"}.
gravity contains {"cell": cell, "q": r.q} if {
	some cell, readings in battery.corrected
	cell in battery.cells
	some r in readings
}

# complete: one for each cell, and more than one cell.
complete if {
	count(battery.cells) > 1
	count(gravity) == count(battery.cells)
	count({g.cell | some g in gravity}) == count(battery.cells)
}

highest := exact.greatest([g.q | some g in gravity])

lowest := exact.least([g.q | some g in gravity])

spread := exact.subtract(highest, lowest)

# under_others: how far each cell lies under the mean of the others.
under_others contains {"cell": g.cell, "q": exact.over(exact.subtract(total, exact.times(g.q, [count(gravity), 1])), count(gravity) - 1)} if {
	complete
	some g in gravity
}

total := exact.sum_of([g.q | some g in gravity])

alike if {
	count(battery.cells) > 0
	count(battery.cells - battery.not_low) == 0
	count(battery.cells - battery.not_high) == 0
}

unlike contains reason if some reason in charge.not_full.today

unlike contains reason if some reason in charge.not_settled.today

unlike contains "the machine was run before the reading" if charge.run_before.today

unlike contains concat(" ", [cell, "was overfull"]) if some cell in bias.overfull.today

unlike contains concat(" ", [cell, "was not at level"]) if some cell, _ in battery.reads_high

# unread: why cells have no gravity, for a reason that stands in the record, with the cells that it holds for.
unread contains sprintf("%s (%s)", [reason, concat(", ", sort(cells))]) if {
	some reason, cells in without
	cells != battery.cells
}

unread contains sprintf("%s (every cell)", [reason]) if {
	some reason, cells in without
	cells == battery.cells
}

without[reason] contains cell if {
	some cell, why in battery.no_gravity
	some reason in why
}
