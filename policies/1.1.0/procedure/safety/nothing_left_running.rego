# METADATA
# scope: package
# title: The key is off at the end, and the charger is unplugged or said to be left on charge
# description: |
#   A machine left with its key on runs its pack flat or starts under the next hand. A charger is left on by intent and on
#   record, never by oversight.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "{what}."
#   needs: "Still to be shown of how the machine was left: {missing}."
#   needs_state: The visit was cut off before the machine was switched off.
#   remedy: Switch the key off and take it out; unplug the charger, or record that the machine was left on charge and tell the site.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - A charger left on needs air and a cover left open; follow the battery's and charger's manuals and local codes.
package procedure.safety.nothing_left_running

import data.shared.charger
import data.shared.steps
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nobody attended the machine" if visit.not_available

aspects := {
	"key": "the key off after the last function test, or the machine left isolated",
	"charger": "the charger unplugged, not connected, or left on charge by intent",
}

# functions, offs: places of the functions tried and of the key switched off.
functions contains i if {
	some i, s in input.visit.steps
	data.steps[s.step].power == "key-on"
	s.left in {"sound", "defective"}
}

offs contains i if {
	some i, s in input.visit.steps
	s.step == "key-off"
	s.left == "sound"
}

right contains "key" if max(offs) > max(functions)

right contains "key" if {
	visit.cut_off
	input.visit.place.power_back.done == false
	count(input.visit.isolations) > 0
}

right contains "charger" if input.visit.charger.disconnected.done == true

right contains "charger" if input.visit.charger.connected.done == false

right contains "charger" if {
	input.visit.charger.connected.done == true
	input.visit.battery.charge.state == "running"
}

# A charger that was locked away was connected by nobody on this visit.
right contains "charger" if charger.locked_away

# A round that asks for no charger, or was cut off before it.
right contains "charger" if {
	count(visit.requirement) > 0
	count({"charger-start", "charger-plugs"} & visit.required_steps) == 0
	count({"charger-start", "charger-plugs"} & visit.performed) == 0
}

right contains "charger" if {
	"charger-start" in steps.not_reached
	count(input.visit.isolations) > 0
	input.visit.place.power_back.done == false
}

wrong contains {"what": "a function was tried after the key was said to be off", "at": sprintf("/steps/%d/step", [max(functions)])} if max(functions) > max(offs)

wrong contains {"what": "the key was not left off", "at": sprintf("/steps/%d/left", [i])} if {
	some i, s in input.visit.steps
	s.step == "key-off"
	s.left == "defective"
	count(offs) == 0
}

wrong contains {"what": "the charger was left connected and not said to be left on charge", "at": "/charger/disconnected/done"} if {
	input.visit.charger.connected.done == true
	input.visit.charger.disconnected.done == false
	input.visit.battery.charge.state in {"ended", "none", "unknown"}
}

conforming contains "visit" if {
	"visit" in subjects
	right == object.keys(aspects)
	count(wrong) == 0
}

nonconforming contains "visit" if {
	"visit" in subjects
	count(wrong) > 0
}

not_possible contains "visit" if {
	"visit" in subjects
	"key-off" in steps.not_reached
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
