# METADATA
# scope: package
# title: No acid is left in the battery box
# description: |
#   Acid in the box eats the frame and the wiring and leads current to it. It is gone when it was neutralised, rinsed
#   and the rinse tests near neutral, and when it is known where it went.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# related_resources:
#   - ref: urn:text:TM-10-6140-200-14
#     description: "neutralising spilled acid: 1 lb of bicarbonate of soda to a gallon of water; the pH after it is common practice"
# custom:
#   severity: major
#   says: "Acid was left in the battery box: it was {neutralised}, and its pH is {ph}; a clean box has a pH from {least} to {most}."
#   needs: "Whether there was acid in the battery box is needed; where there was, that it was neutralised, a pH from {least} to {most} by a checked instrument, and where it went, by a reference or the day it is due."
#   needs_state: "The battery box could not be judged: {reason}."
#   remedy: "Caps tight first; neutralise, rinse, measure the pH again, and dispose of the residue by local rules; find where the acid came from."
#   who: technician
#   concession: lead
#   cautions:
#     - "Acid burns: eye, hand and body protection on, water at hand."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.box_clean

import data.shared.exact
import data.shared.instruments
import data.shared.reasons
import data.shared.tolerance
import data.shared.visit

subjects contains "battery" if "battery" in visit.areas

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

ph contains {"reading": input.visit.battery.box.ph.as_left, "at": "/battery/box/ph/as_left"}

ph contains {"reading": input.visit.battery.box.ph.as_found, "at": "/battery/box/ph/as_found"} if not input.visit.battery.box.ph.as_left

places contains tolerance.exactly(exact.of(p.reading.value, data.units[p.reading.unit]), data.limits.battery.box_ph) if {
	some p in ph
	instruments.usable(p.reading, "ph")
}

acid if input.visit.battery.box.acid in {"traces", "pool"}

# accounted: where the residue went is on record, or is due on a day to come.
accounted if input.visit.battery.box.reference

accounted if input.visit.battery.box.pending_due >= visit.day

conforming contains "battery" if {
	"battery" in subjects
	input.visit.battery.box.acid == "none"
}

conforming contains "battery" if {
	"battery" in subjects
	acid
	input.visit.battery.box.neutralised == true
	places == {"in"}
	accounted
}

nonconforming contains "battery" if {
	"battery" in subjects
	acid
	input.visit.battery.box.neutralised == false
}

nonconforming contains "battery" if {
	"battery" in subjects
	acid
	count(places & {"low", "high"}) > 0
}

not_possible contains "battery" if count(why) > 0

why contains reasons.state[input.visit.battery.box.ph.not_obtained.reason] if {
	"battery" in subjects
	acid
	input.visit.battery.box.neutralised == true
	not input.visit.battery.box.ph.as_left
}

why contains reasons.ended if {
	visit.cut_off
	"battery" in (subjects - visit.recorded)
}

facts.battery contains {"name": "neutralised", "text": {true: "neutralised", false: "not neutralised"}[input.visit.battery.box.neutralised]}

facts.battery contains {"name": "ph", "at": p.at} if some p in ph

facts.battery contains {"name": "ph", "text": "not known"} if input.visit.battery.box.ph.not_obtained

facts.battery contains {"name": "least", "limit": "battery.box_ph", "bound": "min"}

facts.battery contains {"name": "most", "limit": "battery.box_ph", "bound": "max"}

facts.battery contains {"name": "reason", "text": reason} if some reason in why
