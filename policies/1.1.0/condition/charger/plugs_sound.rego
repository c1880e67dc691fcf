# METADATA
# scope: package
# title: Plugs and cords of the charger are sound
# description: |
#   A damaged mains plug or cord can kill; a damaged battery plug arcs beside a battery that gives off gas.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# related_resources:
#   - ref: urn:text:29-CFR-1910.334
#     description: "29 CFR 1910.334(a)(2): cord and plug are looked at before use, for loose parts, deformed or missing pins and damage, and taken out of service"
# custom:
#   severity: critical
#   says: "The charger's mains plug is {mains}, its battery plug {battery}."
#   needs: "The state of the mains plug and of the battery plug, with their cords, is needed."
#   needs_state: "The plugs could not be looked at: {reason}."
#   remedy: "Take the charger out of use, unplugged and tagged, until plug or cord is replaced."
#   who: electrician
#   concession: never
#   cautions:
#     - "Mains voltage kills: unplug before touching; leave repairs to an electrician."
#     - "A charging battery gives off gas that explodes: let air in, keep sparks and flames away."
#   since: visit/1
package condition.charger.plugs_sound

import data.shared.charger
import data.shared.visit

subjects contains "charger" if "charger" in visit.areas

spared contains "the charger is not in the scope of this visit" if "charger" in visit.out_of_scope

conforming contains "charger" if {
	"charger" in subjects
	input.visit.charger.mains_plug == "sound"
	input.visit.charger.battery_plug == "sound"
}

nonconforming contains "charger" if {
	"charger" in subjects
	"damaged" in {input.visit.charger.mains_plug, input.visit.charger.battery_plug}
}

facts.charger contains {"name": "mains", "at": "/charger/mains_plug"}

facts.charger contains {"name": "battery", "at": "/charger/battery_plug"}

not_possible contains "charger" if count(why) > 0

why contains reason if {
	"charger" in subjects
	some reason in charger.unseen
}

facts.charger contains {"name": "reason", "text": reason} if some reason in why
