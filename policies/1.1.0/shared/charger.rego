# METADATA
# title: The charger
# description: |
#   Why a record holds no charger: the visit was cut off before it, or it was locked away and each of its steps is left
#   undone for want of access.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.charger

import data.shared.reasons
import data.shared.steps
import data.shared.visit

recorded := visit.recorded & {"charger"}

# asked: the required steps for which the charger must be at hand.
asked contains s if {
	some s in visit.required_steps
	data.steps[s].area == "charger"
	s != "key-off"
}

locked_away if {
	count(recorded) == 0
	count(asked) > 0
	count(asked & visit.performed) == 0
	every s in asked {
		"no-access" in data.steps[s].may_skip
		"no-access" in visit.skipped_for[s]
	}
}

unseen contains steps.why["no-access"] if locked_away

unseen contains reasons.ended if {
	visit.cut_off
	count(recorded) == 0
}
