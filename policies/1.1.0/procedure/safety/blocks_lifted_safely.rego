# METADATA
# scope: package
# title: Battery blocks are lifted by two people or with an aid
# description: |
#   A block weighs as much as a person can just lift, is full of acid and live at its posts. One person alone drops it
#   or tilts it.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: A battery block was lifted by one person without an aid.
#   needs: Whether blocks were lifted, and how, is needed.
#   needs_state: The visit was cut off before the battery was reached.
#   remedy: Lift with two people or a lifting aid, upright, posts covered; whoever was hurt or splashed sees a doctor.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - Blocks are heavy, hold acid and are live at their posts; follow the battery's manual and local codes, and leave it to a qualified person if in doubt.
package procedure.safety.blocks_lifted_safely

import data.shared.steps
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nobody attended the machine" if visit.not_available

# replaced: blocks changed on the day of this visit cannot have stayed where they were, so not lifting is
# believed only of a record that speaks of the battery.
replaced contains block if {
	some change in input.visit.battery.changes
	change.date == visit.day
	some block in change.blocks
}

wrong contains {"what": "one person", "at": "/place/blocks_lifted"} if input.visit.place.blocks_lifted == "one-person"

conforming contains "visit" if {
	"visit" in subjects
	input.visit.place.blocks_lifted in {"two-people", "lifting-aid"}
}

conforming contains "visit" if {
	"visit" in subjects
	input.visit.place.blocks_lifted == "not-lifted"
	count(input.visit.battery.changes) >= 0
	count(replaced) == 0
}

conforming contains "visit" if {
	"visit" in subjects
	input.visit.place.blocks_lifted == "not-lifted"
	input.visit.place.lid.opened == false
	count(replaced) == 0
}

nonconforming contains "visit" if {
	"visit" in subjects
	count(wrong) > 0
}

not_possible contains "visit" if {
	"visit" in subjects
	"battery-case" in steps.not_reached
	not input.visit.battery
	not input.visit.place
}

not_possible contains "visit" if {
	"visit" in subjects
	"battery-case" in steps.not_reached
	not input.visit.battery
	input.visit.place.lid.opened == true
	input.visit.place.blocks_lifted == "not-lifted"
}

facts[subject] contains {"name": "at", "at": w.at} if {
	some subject in subjects
	some w in wrong
}
