# METADATA
# scope: package
# title: The blocks of the string are of one type and one age
# description: |
#   In a string the weakest block sets the pace and is driven hardest. A new block among old ones ages with them, and one of
#   another type is charged wrongly for life.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "The blocks are not alike: {types}, {fitted}."
#   needs: "Type and day of fitting of every block are needed."
#   needs_state: "The blocks could not be compared: {reason}."
#   remedy: Replace blocks as a set of one type and date; plan it with the customer.
#   who: lead
#   concession: lead-and-customer
#   since: visit/1
#   cautions:
#     - "Blocks are heavy and full of acid: two people or a lifting aid, case upright."
#     - "A tool across two posts short-circuits the battery: insulated tools, jewellery off."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
package condition.battery.blocks_alike

import data.shared.battery
import data.shared.exact
import data.shared.reasons
import data.shared.times
import data.shared.tolerance
import data.shared.visit

subjects contains "battery" if "battery" in visit.areas

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

# known: the blocks of the class that the record has.
known contains block if {
	some b in input.visit.battery.blocks
	block := concat(" ", ["block", b.block])
	block in battery.blocks
}

types contains b.make_type if some b in input.visit.battery.blocks

fitted contains b.fitted if some b in input.visit.battery.blocks

apart := exact.of(times.days_between(min(fitted), max(fitted)), data.units.d)

conforming contains "battery" if {
	"battery" in subjects
	known == battery.blocks
	count(types) == 1
	tolerance.exactly(apart, data.limits.battery.block_age_minor) == "in"
}

nonconforming contains "battery" if {
	"battery" in subjects
	count(types) > 1
}

nonconforming contains "battery" if {
	"battery" in subjects
	tolerance.exactly(apart, data.limits.battery.block_age_minor) == "high"
}

severity.battery := "minor" if {
	count(types) == 1
	tolerance.exactly(apart, data.limits.battery.block_age_minor) == "high"
	tolerance.exactly(apart, data.limits.battery.block_age_major) == "in"
}

not_possible contains "battery" if count(why) > 0

why contains reasons.ended if {
	"battery" in subjects
	visit.cut_off
	count(battery.blocks - known) > 0
	count(types) <= 1
	count(close_in_age) > 0
}

# close_in_age: the blocks that are known do not differ by too much.
close_in_age contains "yes" if count(fitted) == 0

close_in_age contains "yes" if tolerance.exactly(apart, data.limits.battery.block_age_minor) == "in"

facts.battery contains {"name": "types", "text": type} if some type in types

facts.battery contains {"name": "fitted", "text": sprintf("fitted from %s to %s", [min(fitted), max(fitted)])} if count(fitted) > 1

facts.battery contains {"name": "fitted", "text": sprintf("all fitted on %s", [day])} if {
	some day in fitted
	count(fitted) == 1
}

facts.battery contains {"name": "reason", "text": reason} if some reason in why
