# METADATA
# scope: package
# title: A sealed pack was neither opened, watered nor equalised
# description: |
#   A sealed block keeps its gas in by its valves. Opened or watered it is spoilt; an equalising charge drives out gas that
#   it can never get back, and may heat it until it runs away.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   basis: common practice
#   says: "The sealed pack was {what}."
#   needs: "A statement is needed that the sealed pack was neither opened nor equalised nor watered."
#   needs_state: "Nothing is said of the sealed pack: {reason}."
#   remedy: Take the pack out of use, isolate and tag; let air in; have it judged by a specialist before any charge.
#   who: specialist
#   concession: never
#   cautions:
#     - "Gas under pressure and acid come out of an opened block: eye, hand and body protection on, no sparks or flames."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package procedure.safety.sealed_left_shut

import data.shared.reasons
import data.shared.visit

subjects contains "battery" if {
	visit.attended
	visit.sealed
}

spared contains "nobody attended the machine" if visit.not_available

spared contains "the pack is flooded" if {
	visit.attended
	visit.flooded
}

spared contains "the battery is not in the scope of this visit" if {
	visit.attended
	"battery" in visit.out_of_scope
}

conforming contains "battery" if {
	"battery" in subjects
	input.visit.battery.sealed.opened == false
	input.visit.battery.sealed.equalised == false
	input.visit.battery.watering.done == false
}

nonconforming contains "battery" if {
	"battery" in subjects
	count(harm) > 0
}

harm contains "opened" if input.visit.battery.sealed.opened == true

harm contains "equalised" if input.visit.battery.sealed.equalised == true

harm contains "watered" if input.visit.battery.watering.done == true

not_possible contains "battery" if count(why) > 0

why contains reasons.ended if {
	visit.cut_off
	"battery" in (subjects - visit.recorded)
}

facts.battery contains {"name": "what", "text": h} if some h in harm

facts.battery contains {"name": "reason", "text": reason} if some reason in why
