# METADATA
# scope: package
# title: The place is made safe before anything else is done to the machine
# description: |
#   A machine that can roll, or that somebody can walk up to, hurts people before the work has begun. It stands level
#   and chocked and people are kept off before it is isolated, opened or given power.
# related_resources:
#   - ref: urn:text:29-CFR-1910.178-g
#     description: brakes applied before batteries are changed or charged (powered industrial trucks; the closest published rule), seen as quoted in state rules
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   says: "{what}."
#   needs: "Still to be shown: {missing}."
#   needs_state: The visit was cut off before the place was made safe.
#   remedy: Stop, chock the machine on level ground, set a barrier or a watch, then begin again.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - The machine is heavy and can roll; follow its manual and the site's own rules, and leave it to a qualified person if in doubt.
package procedure.safety.place_made_safe

import data.shared.steps
import data.shared.times
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nobody attended the machine" if visit.not_available

aspects := {
	"level": "the machine level and chocked",
	"people": "people kept off",
	"first": "the place made safe before isolation, lid, battery work and power",
}

# gates: what may only begin when the place is safe.
gates contains times.at(i.from) if some i in input.visit.isolations

gates contains times.lid_opened

gates contains times.gravity

gates contains times.watered

gates contains times.power_back

right contains "level" if input.visit.place.level_and_chocked == true

right contains "people" if input.visit.place.people_kept_off == true

right contains "first" if {
	count(input.visit.isolations) > 0
	times.started <= times.made_safe
	times.made_safe <= min(gates)
}

wrong contains {"what": "the machine did not stand level and chocked", "at": "/place/level_and_chocked"} if input.visit.place.level_and_chocked == false

wrong contains {"what": "people were not kept off", "at": "/place/people_kept_off"} if input.visit.place.people_kept_off == false

wrong contains {"what": "work began before the place was made safe", "at": "/place/made_safe_at"} if times.made_safe > min(gates)

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
	"place-safe" in steps.not_reached
	count(wrong) == 0
	right != object.keys(aspects)
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
