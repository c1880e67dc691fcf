# METADATA
# scope: package
# title: The charger is set for the battery it charges
# description: |
#   A sealed pack charged as a flooded one gasses, loses water it can never get back and may heat until it fails. A
#   flooded pack charged as a sealed one is never full.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "The charger is set for a {set} battery; this class of machine has a {asked} one."
#   needs: "The setting of the charger is needed."
#   needs_state: "The setting could not be looked at: {reason}."
#   remedy: "Stop charging; set the charger by its manual, then judge the battery anew."
#   who: technician
#   concession: never
#   cautions:
#     - "Mains voltage kills: unplug before touching; leave repairs to an electrician."
#     - "A charging battery gives off gas that explodes: let air in, keep sparks and flames away."
#     - "Follow the battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.charger.set_for_type

import data.shared.charger
import data.shared.visit

subjects contains "charger" if "charger" in visit.areas

spared contains "the charger is not in the scope of this visit" if "charger" in visit.out_of_scope

conforming contains "charger" if {
	"charger" in subjects
	input.visit.charger.set_for == visit.class.charger.set_for
}

nonconforming contains "charger" if {
	"charger" in subjects
	input.visit.charger.set_for != visit.class.charger.set_for
}

# A sealed pack on a flooded setting is driven to gas.
severity.charger := "critical" if {
	visit.class.battery.type == "sealed"
	input.visit.charger.set_for == "flooded"
}

facts.charger contains {"name": "set", "at": "/charger/set_for"}

facts.charger contains {"name": "asked", "text": visit.class.charger.set_for}

not_possible contains "charger" if count(why) > 0

why contains reason if {
	"charger" in subjects
	some reason in charger.unseen
}

facts.charger contains {"name": "reason", "text": reason} if some reason in why
