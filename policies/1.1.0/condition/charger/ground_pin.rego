# METADATA
# scope: package
# title: The ground pin is there and straight, unless the charger is insulated by design
# description: |
#   Without its ground the case of a charger can stand at mains voltage. A charger of the insulated class has no ground
#   pin and needs none.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# related_resources:
#   - ref: urn:text:29-CFR-1910.334
#     description: "29 CFR 1910.334(a)(3): equipment that is grounded keeps its ground, and plugs are not altered to defeat it"
# custom:
#   severity: critical
#   says: "The ground pin of the charger is {pin}; this class of machine has a charger that is {protection}."
#   needs: "The state of the ground pin, in agreement with the charger that the class has ({protection}), is needed."
#   needs_state: "The ground pin could not be looked at: {reason}."
#   remedy: "Take the charger out of use, unplugged and tagged, until the plug is replaced."
#   who: electrician
#   concession: never
#   cautions:
#     - "Mains voltage kills: unplug before touching; leave repairs to an electrician."
#   since: visit/1
package condition.charger.ground_pin

import data.shared.charger
import data.shared.visit

subjects contains "charger" if "charger" in visit.areas

spared contains "the charger is not in the scope of this visit" if "charger" in visit.out_of_scope

conforming contains "charger" if {
	"charger" in subjects
	input.visit.charger.protection == "grounded"
	input.visit.charger.ground_pin == "sound"
}

conforming contains "charger" if {
	"charger" in subjects
	visit.class.charger.protection == "insulated"
	input.visit.charger.ground_pin == "none-by-design"
}

nonconforming contains "charger" if {
	"charger" in subjects
	input.visit.charger.ground_pin in {"bent", "missing"}
}

nonconforming contains "charger" if {
	"charger" in subjects
	visit.class.charger.protection == "grounded"
	input.visit.charger.ground_pin == "none-by-design"
}

facts.charger contains {"name": "at", "at": "/charger/ground_pin"}

facts.charger contains {"name": "pin", "text": replace(input.visit.charger.ground_pin, "none-by-design", "left out by design")}

facts.charger contains {"name": "protection", "text": visit.class.charger.protection}

not_possible contains "charger" if count(why) > 0

why contains reason if {
	"charger" in subjects
	some reason in charger.unseen
}

facts.charger contains {"name": "reason", "text": reason} if some reason in why
