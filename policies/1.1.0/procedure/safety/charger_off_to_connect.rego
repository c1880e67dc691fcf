# METADATA
# scope: package
# title: The charger was off whenever its plugs were moved, and they were moved in order
# description: |
#   A plug moved under current draws an arc, and gas stays in and around a battery for hours after a charge. The charger
#   is off first; then battery before mains when connecting, mains before battery when disconnecting. The order is common
#   practice.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# related_resources:
#   - ref: urn:text:29-CFR-1917.157
#     description: "29 CFR 1917.157(n): chargers are turned off when batteries are connected or disconnected"
# custom:
#   severity: critical
#   says: "{fault}."
#   needs: "For every time the charger was connected or disconnected: whether it was off, and which side was moved first."
#   needs_state: "Nothing is said of how the charger was connected: {reason}."
#   remedy: Let the lead go through the order with whoever moved the plugs; look at the plugs for burns before the next charge.
#   who: lead
#   concession: never
#   cautions:
#     - "A battery gives off gas that explodes, on charge and for hours after: charger off first, no sparks, let air in."
#     - "Mains voltage kills: hands dry, plugs and cords sound; follow the charger's manual and local rules."
#   since: visit/1
package procedure.safety.charger_off_to_connect

import data.shared.charger
import data.shared.visit

subjects contains "charger" if {
	visit.attended
	"charger" in visit.areas
	count(spared) == 0
}

spared contains "nobody attended the machine" if visit.not_available

spared contains "the charger is not in the scope of this visit" if {
	visit.attended
	"charger" in visit.out_of_scope
}

spared contains "the charger was neither connected nor disconnected" if {
	visit.attended
	"charger" in visit.areas
	input.visit.charger.connected.done == false
	input.visit.charger.disconnected.done == false
}

# Each way is sound when it was done right, or is stated not to have been done.
connected_right if input.visit.charger.connected.done == false

connected_right if {
	input.visit.charger.connected.done == true
	input.visit.charger.connected.charger_off == true
	input.visit.charger.connected.first == "battery"
}

disconnected_right if input.visit.charger.disconnected.done == false

disconnected_right if {
	input.visit.charger.disconnected.done == true
	input.visit.charger.disconnected.charger_off == true
	input.visit.charger.disconnected.first == "mains"
}

live contains "the charger was not off when it was connected" if input.visit.charger.connected.charger_off == false

live contains "the charger was not off when it was disconnected" if input.visit.charger.disconnected.charger_off == false

disorder contains "the mains side came first when the charger was connected" if input.visit.charger.connected.first == "mains"

disorder contains "the battery side came first when the charger was disconnected" if input.visit.charger.disconnected.first == "battery"

conforming contains "charger" if {
	"charger" in subjects
	connected_right
	disconnected_right
}

nonconforming contains "charger" if {
	"charger" in subjects
	count(live | disorder) > 0
}

# With the charger off both times, the order alone is less grave.
severity.charger := "major" if {
	count(live) == 0
	count(disorder) > 0
}

not_possible contains "charger" if count(why) > 0

why contains reason if {
	"charger" in subjects
	some reason in charger.unseen
}

facts.charger contains {"name": "fault", "text": f} if some f in (live | disorder)

facts.charger contains {"name": "reason", "text": reason} if some reason in why
