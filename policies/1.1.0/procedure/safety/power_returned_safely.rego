# METADATA
# scope: package
# title: Power comes back with guards on, lid shut, people clear and the isolation ended
# description: |
#   The moment power returns is the moment the machine can start. Nobody is near, nothing is open, and whoever isolated
#   it has ended the isolation.
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
#   needs: "Still to be shown: {missing}."
#   needs_state: Power was not given back; the visit was cut off before.
#   remedy: Isolate again, refit the guards, shut the lid, clear people away, end the isolation, then give power.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - The machine can start when power returns; keep people clear and follow its manual, and leave it to a qualified person if in doubt.
package procedure.safety.power_returned_safely

import data.shared.steps
import data.shared.times
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nobody attended the machine" if visit.not_available

aspects := {
	"guards": "guards refitted before power came back",
	"people": "people clear when power came back",
	"lid": "the lid shut before power came back",
	"isolation": "the isolation ended before power came back",
}

right contains "guards" if input.visit.place.power_back.guards_refitted == true

right contains "people" if input.visit.place.power_back.people_clear == true

right contains "lid" if input.visit.place.lid.opened == false

right contains "lid" if times.lid_shut <= times.power_back

right contains "isolation" if max(ends) <= times.power_back

ends contains times.at(i.to) if some i in input.visit.isolations

wrong contains {"what": "power came back before the guards were refitted", "at": "/place/power_back/guards_refitted"} if input.visit.place.power_back.guards_refitted == false

wrong contains {"what": "power came back with people near", "at": "/place/power_back/people_clear"} if input.visit.place.power_back.people_clear == false

wrong contains {"what": "power came back before the lid was shut", "at": "/place/lid/shut_at"} if times.lid_shut > times.power_back

wrong contains {"what": "power came back with the lid open", "at": "/place/lid/shut"} if {
	input.visit.place.lid.shut == false
	input.visit.place.power_back.done == true
}

wrong contains {"what": "power came back before the isolation ended", "at": "/place/power_back/at"} if max(ends) > times.power_back

wrong contains {"what": "power is said not to have come back, and functions were tried", "at": "/place/power_back/done"} if {
	input.visit.place.power_back.done == false
	some s in visit.performed
	data.steps[s].area == "function"
}

conforming contains "visit" if {
	"visit" in subjects
	right == object.keys(aspects)
}

nonconforming contains "visit" if {
	"visit" in subjects
	count(wrong) > 0
}

not_possible contains "visit" if {
	"visit" in subjects
	"power-back" in steps.not_reached
	right != object.keys(aspects)
	count(wrong) == 0
}

facts[subject] contains {"name": "what", "text": w.what} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "at", "at": w.at} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "missing", "text": aspects[a]} if {
	some subject in subjects
	some a in (object.keys(aspects) - right)
}
