# METADATA
# title: The checklist against the record
# description: |
#   The steps that this visit requires, by the name they are judged under, and which of them the record leaves undone or
#   does not speak of.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.checklist

import data.shared.steps
import data.shared.visit

# subject: the name under which each required step is judged.
subject := {s: concat(" ", ["step", s]) | some s in visit.required_steps}

# undone: required steps that the record says were left undone, and nowhere says were performed.
undone := (visit.required_steps & visit.skipped) - visit.performed

# missing: required steps of which the record says nothing.
missing := visit.required_steps - steps.recorded

# never_left: steps that are never left undone and whose severity is critical.
never_left contains s if {
	some s, row in data.steps
	row.severity == "critical"
	count(row.may_skip) == 0
}
