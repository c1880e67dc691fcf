# METADATA
# scope: package
# title: Protection is on before the lid opens and stays on until it is shut
# description: |
#   Acid and gas are there as soon as the lid is up, and gas stays in and around a battery for hours after a charge.
#   Eyes, hands and arms and the upper body are covered, jewellery is off, tools are insulated and nothing metallic
#   lies on the battery, with a sealed pack as with a flooded one.
# related_resources:
#   - ref: urn:text:29-CFR-1926.441-a-5
#     description: face shields, aprons and rubber gloves for who handles acid or batteries (construction)
#   - ref: urn:text:29-CFR-1917.157
#     description: nothing metallic on uncovered batteries (marine terminals)
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
#   needs: "Still to be shown: {missing}."
#   needs_state: The visit was cut off before the lid was opened.
#   remedy: Shut the lid, put protection on, confirm it, then open. Rinse acid on skin or in eyes with plenty of water at once and see a doctor.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - Battery acid burns eyes and skin and a metal object across the posts can burst a cell; follow the battery's manual and local codes, and leave it to a qualified person if in doubt.
package procedure.safety.protection_kept

import data.shared.steps
import data.shared.times
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nobody attended the machine" if visit.not_available

aspects := {
	"eyes": "eyes and face covered",
	"hands_and_arms": "hands and arms covered",
	"upper_body": "upper body covered",
	"jewellery_off": "jewellery off",
	"insulated_tools": "insulated tools",
	"nothing_metallic_on_battery": "nothing metallic on the battery",
	"before": "protection confirmed before the lid was opened",
	"until": "protection kept until the lid was shut",
}

# lid_done: when protection may come off: the lid shut, or what ended a visit that left it open to air.
lid_done := times.lid_shut if input.visit.place.lid.shut == true

lid_done := times.stopped if {
	input.visit.place.lid.shut == false
	input.visit.ended_as == "stopped-unsafe"
}

lid_done := times.at(input.visit.cut_short.at) if {
	input.visit.place.lid.shut == false
	input.visit.ended_as == "cut-short"
}

lid_done := times.ended if {
	input.visit.place.lid.shut == false
	input.visit.ended_as == "completed"
}

right contains "eyes" if input.visit.protection.eyes == true

right contains "hands_and_arms" if input.visit.protection.hands_and_arms == true

right contains "upper_body" if input.visit.protection.upper_body == true

right contains "jewellery_off" if input.visit.protection.jewellery_off == true

right contains "insulated_tools" if input.visit.protection.insulated_tools == true

right contains "nothing_metallic_on_battery" if input.visit.protection.nothing_metallic_on_battery == true

right contains "before" if times.protected_from <= times.lid_opened

right contains "until" if times.protected_to >= lid_done

wrong contains {"what": "eyes and face were not covered", "at": "/protection/eyes"} if input.visit.protection.eyes == false

wrong contains {"what": "hands and arms were not covered", "at": "/protection/hands_and_arms"} if input.visit.protection.hands_and_arms == false

wrong contains {"what": "the upper body was not covered", "at": "/protection/upper_body"} if input.visit.protection.upper_body == false

wrong contains {"what": "jewellery was not off", "at": "/protection/jewellery_off"} if input.visit.protection.jewellery_off == false

wrong contains {"what": "tools were not insulated", "at": "/protection/insulated_tools"} if input.visit.protection.insulated_tools == false

wrong contains {"what": "metal was laid on the battery", "at": "/protection/nothing_metallic_on_battery"} if input.visit.protection.nothing_metallic_on_battery == false

wrong contains {"what": "protection was confirmed after the lid was opened", "at": "/protection/confirmed_at"} if times.protected_from > times.lid_opened

wrong contains {"what": "protection came off before the lid was shut", "at": "/protection/kept_until"} if times.protected_to < lid_done

# A lid that stayed shut asks for none of it.
closed contains "visit" if input.visit.place.lid.opened == false

conforming contains "visit" if {
	"visit" in subjects
	right == object.keys(aspects)
}

conforming contains subject if some subject in (subjects & closed)

nonconforming contains subject if {
	count(wrong) > 0
	some subject in (subjects - closed)
}

not_possible contains subject if {
	"lid-open" in steps.not_reached
	count(wrong) == 0
	right != object.keys(aspects)
	some subject in (subjects - closed)
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
