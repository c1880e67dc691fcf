# METADATA
# scope: package
# title: Air is let in and nothing that can ignite is near while the lid is open
# description: |
#   Hydrogen from the charge stays in and around a battery for hours and burns at a spark. The room is aired before and
#   while the lid is open, and flame, sparks and smoking are kept away.
# related_resources:
#   - ref: urn:text:29-CFR-1926.441-a-1
#     description: ventilation that keeps an explosive mixture from forming (construction), with paragraph (a)(2)
#   - ref: urn:text:29-CFR-1917.157
#     description: no smoking where batteries are changed or charged (marine terminals)
#   - ref: urn:text:TM-9-6140-200-14
#     description: an explosive mixture must be taken for granted in and around cells, charging or not
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   says: "{what}."
#   needs: Whether the room was aired and what can ignite was kept away while the lid was open is needed.
#   needs_state: The visit was cut off before the lid was opened.
#   remedy: Shut the lid, air the room, take flame, sparks and smoking away, wait, then open again.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - Hydrogen over a battery can explode; follow the battery's manual and local codes, and leave it to a qualified person if in doubt.
package procedure.safety.area_ventilated

import data.shared.steps
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nobody attended the machine" if visit.not_available

right contains "aired" if input.visit.place.ventilated == true

right contains "away" if input.visit.place.ignition_sources_away == true

wrong contains {"what": "the room was not aired", "at": "/place/ventilated"} if {
	input.visit.place.lid.opened == true
	input.visit.place.ventilated == false
}

wrong contains {"what": "flame, sparks or smoking were near", "at": "/place/ignition_sources_away"} if {
	input.visit.place.lid.opened == true
	input.visit.place.ignition_sources_away == false
}

conforming contains "visit" if {
	"visit" in subjects
	right == {"aired", "away"}
}

conforming contains "visit" if {
	"visit" in subjects
	input.visit.place.lid.opened == false
}

nonconforming contains "visit" if {
	"visit" in subjects
	count(wrong) > 0
}

not_possible contains "visit" if {
	"visit" in subjects
	"lid-open" in steps.not_reached
	not input.visit.place
}

facts[subject] contains {"name": "what", "text": w.what} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "at", "at": w.at} if {
	some subject in subjects
	some w in wrong
}
