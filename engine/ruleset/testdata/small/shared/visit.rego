# METADATA
# title: The visit
# description: What the engine reads of a release beside its rules.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.visit

class := data.classes[input.visit.machine.class]

completion := "full" if input.visit.ended_as == "completed"

cause := "" if completion == "full"
