# METADATA
# scope: package
# title: Every cell, block, post, link, meter and reading is one the machine has
# description: |
#   A cell B1.9 in a block of three is a slip of the pen or another machine's record. What it was meant for is then not
#   recorded, and what was recorded is not judged.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "The record names what this class of machine does not have: {stray}."
#   needs: "The class of the machine, and the battery where this visit covers it, are needed to tell whether all that is named belongs to it."
#   remedy: Correct the id, or the class of the machine, and hand the record in again.
#   who: technician
#   concession: never
#   since: visit/1
package procedure.record.ids_of_class

import data.shared.battery
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nothing was attended" if visit.not_available

# had: what the class has, by subject; a reading is had by its step alone.
had := (((battery.cells | battery.blocks) | battery.posts) | battery.links) | (meters | readings)

meters contains concat(" ", ["meter", m]) if some m in visit.class.meters

readings contains concat(" ", ["reading", r.reading, "at step", r.step]) if some r in visit.class.ranges

# named: what the record names, and where.
named contains {"id": concat(" ", ["cell", c.cell]), "at": sprintf("/battery/cells/%d/cell", [i])} if some i, c in input.visit.battery.cells

named contains {"id": concat(" ", ["block", b.block]), "at": sprintf("/battery/blocks/%d/block", [i])} if some i, b in input.visit.battery.blocks

named contains {"id": concat(" ", ["post", p.post]), "at": sprintf("/battery/posts/%d/post", [i])} if some i, p in input.visit.battery.posts

named contains {"id": concat(" ", ["link", l.link]), "at": sprintf("/battery/links/%d/link", [i])} if some i, l in input.visit.battery.links

named contains {"id": concat(" ", ["block", b]), "at": sprintf("/battery/changes/%d/blocks/%d", [i, k])} if {
	some i, change in input.visit.battery.changes
	some k, b in change.blocks
}

named contains {"id": concat(" ", ["meter", m.meter]), "at": sprintf("/meters/%d/meter", [i])} if some i, m in input.visit.meters

named contains {"id": concat(" ", ["meter", m.meter]), "at": sprintf("/meter_changes/%d/meter", [i])} if some i, m in input.visit.meter_changes

named contains {"id": concat(" ", ["reading", r.reading, "at step", s.step]), "at": sprintf("/steps/%d/readings/%d/reading", [i, k])} if {
	some i, s in input.visit.steps
	some k, r in s.readings
}

stray contains n if {
	is_object(visit.class)
	some n in named
	not n.id in had
}

# battery_told: the battery is in the record, or need not be.
battery_told if is_array(input.visit.battery.cells)

battery_told if "battery" in visit.out_of_scope

battery_told if visit.cut_off

conforming contains "visit" if {
	visit.attended
	is_object(visit.class)
	battery_told
	is_array(input.visit.meters)
	count({n.id | some n in named} - had) == 0
}

nonconforming contains "visit" if {
	visit.attended
	count(stray) > 0
}

facts[subject] contains {"name": "stray", "text": n.id} if {
	some subject in subjects
	some n in stray
}

facts[subject] contains {"name": "at", "at": n.at} if {
	some subject in subjects
	some n in stray
}
