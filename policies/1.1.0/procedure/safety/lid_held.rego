# METADATA
# scope: package
# title: The lid or raised tank is held on its stay while hands are under it
# description: |
#   A lid or a tank that falls crushes hands and can bridge the posts. Work under it lies between its being opened and
#   its being shut; what the record says was done under a lid that stayed shut contradicts it.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   basis: common practice
#   says: "{what}."
#   needs: When the lid was opened and shut, that it was held on its stay, and when gravity was taken and water added under it, is needed.
#   needs_state: The visit was cut off before there was any work under the lid.
#   remedy: Hold the lid on its stay or prop before a hand goes under it; a stay that does not hold is a fault to follow up.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - Lid and tank are heavy, and can fall on hands or across live posts; follow the machine's manual, and leave it to a qualified person if in doubt.
package procedure.safety.lid_held

import data.shared.gates
import data.shared.steps
import data.shared.times
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nobody attended the machine" if visit.not_available

# under_lid: work that nobody can do while the lid is shut.
under_lid := {"lid-open", "battery-case", "block-voltage", "cell-gravity", "electrolyte-level", "post-torque", "battery-water"}

wrong contains {"what": "the lid was not held on its stay", "at": "/place/lid/held_on_stay"} if input.visit.place.lid.held_on_stay == false

wrong contains {"what": "the lid is said to have stayed shut, and work under it is recorded", "at": "/place/lid/opened"} if {
	input.visit.place.lid.opened == false
	count(visit.performed & under_lid) > 0
}

wrong contains {"what": "gravity was taken before the lid was opened", "at": "/battery/gravity_at"} if times.gravity < times.lid_opened

wrong contains {"what": "gravity was taken after the lid was shut", "at": "/battery/gravity_at"} if times.gravity > times.lid_shut

wrong contains {"what": "water was added before the lid was opened", "at": "/battery/watering/at"} if times.watered < times.lid_opened

wrong contains {"what": "water was added after the lid was shut", "at": "/battery/watering/at"} if times.watered > times.lid_shut

# within: gates that lie between opening and shutting, or that the record shows there was no need of.
within contains gate if some gate in gates.not_needed

within contains "gravity" if times.gravity >= times.lid_opened

within contains "water" if times.watered >= times.lid_opened

right if {
	input.visit.place.lid.held_on_stay == true
	within == {"gravity", "water"}
}

# Shut all the time: the round asks for no work under the lid, or the record has none and a reason for each.
right if {
	input.visit.place.lid.opened == false
	count((visit.required_steps & under_lid) - visit.skipped) == 0
}

conforming contains "visit" if {
	"visit" in subjects
	right
	count(wrong) == 0
}

nonconforming contains "visit" if {
	"visit" in subjects
	count(wrong) > 0
}

not_possible contains "visit" if {
	"visit" in subjects
	count({"lid-open", "battery-case"} & steps.not_reached) > 0
	not input.visit.battery
	count(wrong) == 0
	not right
}

facts[subject] contains {"name": "what", "text": w.what} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "at", "at": w.at} if {
	some subject in subjects
	some w in wrong
}
