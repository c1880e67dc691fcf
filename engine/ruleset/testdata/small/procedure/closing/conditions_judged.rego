# METADATA
# title: No condition of the machine is open
# description: What is nonconforming and not followed up is open.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: minor
#   says: "{subject} found a fault that nobody answered"
#   needs: an answer to what {subject} asks
#   remedy: follow it up
#   who: technician
#   concession: lead
#   since: visit/1
package procedure.closing.conditions_judged

import data.shared.followup

subjects contains concat(" ", ["rule", name]) if {
	some name in {"condition.battery.full_charge_gravity"}
	data.catalogue.rules[name].severity == "major"
}

spared contains "the machine was not available" if input.visit.ended_as == "not-available"

conforming contains concat(".", ["rule condition", area, name]) if {
	some area, name
	asked := data.condition[area][name].subjects
	count(asked - data.condition[area][name].conforming) == 0
}

nonconforming contains concat(".", ["rule condition", area, name]) if {
	some area, name
	count(data.condition[area][name].nonconforming - followup.followed_up) > 0
}
