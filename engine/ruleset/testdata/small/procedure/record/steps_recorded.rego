# METADATA
# title: Each step that the class requires stands in the record
# description: A step that is not there was not done.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: minor
#   says: "{subject} was left defective"
#   needs: "{subject} in the record"
#   remedy: do the step
#   who: technician
#   concession: lead
#   since: visit/1
package procedure.record.steps_recorded

import data.shared.visit

subjects contains concat(" ", ["step", s]) if {
	some row in visit.class.requires
	row.kind == input.visit.kind
	row.level == input.visit.service_level
	some s in row.steps
}

spared contains "the machine was not available" if input.visit.ended_as == "not-available"

conforming contains concat(" ", ["step", s.step]) if {
	some s in input.visit.steps
	s.left == "sound"
}

nonconforming contains concat(" ", ["step", s.step]) if {
	some s in input.visit.steps
	s.left == "defective"
}

severity[concat(" ", ["step", s])] := data.steps[s].severity if some s, _ in data.steps
