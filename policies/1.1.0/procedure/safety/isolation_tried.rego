# METADATA
# scope: package
# title: The machine is isolated and tried dead before hands go in
# description: |
#   Key off is not isolation: the pack stays live. Isolated means the key out and kept, the charger unplugged, the
#   battery disconnected at the machine's own disconnect, and tried: nothing moves, nothing lights.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   basis: common practice
#   says: "The isolation[ of {when}] was not whole: {what}."
#   needs: An isolation with its beginning and end, the key out, the charger unplugged, the battery disconnected and tried dead, is needed.
#   needs_state: The visit was cut off before the machine was isolated.
#   remedy: Stop, isolate in full, try that nothing moves or lights, and only then go on.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - A disconnected pack is still live at its posts; follow the machine's and battery's manuals and the local code, and leave it to a qualified person if in doubt.
package procedure.safety.isolation_tried

import data.shared.steps
import data.shared.visit

# Every round that has a step to be done isolated has an isolation, whether the record speaks of one or not.
subjects contains "isolation" if {
	visit.attended
	some s in visit.required_steps
	data.steps[s].power == "isolated"
}

spared contains "nobody attended the machine" if visit.not_available

whole contains i if {
	some i, isolation in input.visit.isolations
	isolation.key_removed == true
	isolation.charger_unplugged == true
	isolation.battery_disconnected == true
	isolation.tried_dead == true
}

wrong contains {"i": i, "what": "the key was not taken out and kept"} if {
	some i, isolation in input.visit.isolations
	isolation.key_removed == false
}

wrong contains {"i": i, "what": "the charger was not unplugged"} if {
	some i, isolation in input.visit.isolations
	isolation.charger_unplugged == false
}

wrong contains {"i": i, "what": "the battery was not disconnected"} if {
	some i, isolation in input.visit.isolations
	isolation.battery_disconnected == false
}

wrong contains {"i": i, "what": "it was not tried whether the machine was dead"} if {
	some i, isolation in input.visit.isolations
	isolation.tried_dead == false
}

conforming contains "isolation" if {
	"isolation" in subjects
	count(input.visit.isolations) > 0
	count(whole) == count(input.visit.isolations)
}

nonconforming contains "isolation" if {
	"isolation" in subjects
	count(wrong) > 0
}

not_possible contains "isolation" if {
	"isolation" in subjects
	"isolate" in steps.not_reached
	count(input.visit.isolations) == 0
}

facts[subject] contains {"name": "what", "text": w.what} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "at", "at": sprintf("/isolations/%d/from", [w.i])} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "when", "text": sprintf("%s, %s to %s", [substring(i.from, 0, 10), substring(i.from, 11, 5), substring(i.to, 11, 5)])} if {
	some subject in subjects
	some w in wrong
	i := input.visit.isolations[w.i]
}
