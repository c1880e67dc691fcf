# METADATA
# scope: package
# title: Every block is the one that was there last time
# description: |
#   What is known of a battery's past belongs to its blocks. A serial that differs with no change on record means that a
#   block was swapped unseen, or that somebody stood at another machine.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "{subject} has serial {is}, last time {was}, and no change of it is recorded."
#   needs: "{subject}: its serial today and last time is needed; a change is recorded of every block whose serial differs, and of no other."
#   needs_state: "{subject} could not be looked at: {reason}."
#   remedy: Read the serials again; if the block was replaced, find out when, by whom and why, and record the change with its reference.
#   who: lead
#   concession: lead
#   since: visit/1
#   cautions:
#     - "A tool across two posts short-circuits the battery: insulated tools, jewellery off."
#     - "Electrolyte is acid: eyes, hands and body are protected."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
package condition.battery.block_identity

import data.shared.battery
import data.shared.reasons
import data.shared.visit

subjects contains block if {
	"battery" in visit.areas
	count(spared) == 0
	some block in battery.blocks
}

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

spared contains "this is the first visit to the machine" if {
	"battery" in visit.areas
	input.visit.first_visit == true
	count(input.earlier.battery) == 0
}

was[concat(" ", ["block", b.block])] contains {"serial": b.serial, "at": sprintf("/battery/blocks/%d/serial", [i])} if {
	some e in input.earlier.battery
	some i, b in e.battery.blocks
}

is[concat(" ", ["block", b.block])] contains {"serial": b.serial, "at": sprintf("/battery/blocks/%d/serial", [i])} if {
	some i, b in input.visit.battery.blocks
}

# replaced: blocks named by a change since the earlier readings.
replaced := object.keys(battery.replaced)

same contains block if {
	some block, then in was
	some b, now in is
	b == block
	{w.serial | some w in then} == {n.serial | some n in now}
}

other contains block if {
	some block, then in was
	some b, now in is
	b == block
	{w.serial | some w in then} != {n.serial | some n in now}
}

conforming contains block if some block in ((subjects - replaced) & same)

conforming contains block if some block in ((subjects & replaced) & other)

nonconforming contains block if some block in ((subjects - replaced) & other)

# Nothing to compare with is a question, not a fault.
severity[block] := "minor" if some block in (subjects - object.keys(was))

not_possible contains block if some block in not_reached

not_reached contains block if {
	visit.cut_off
	some block in (subjects - object.keys(is))
}

facts[block] contains {"name": "is", "at": b.at} if {
	some block, now in is
	some b in now
}

facts[block] contains {"name": "was", "earlier": "battery", "at": b.at} if {
	some block, then in was
	some b in then
}

facts[block] contains {"name": "reason", "text": reasons.ended} if some block in not_reached
