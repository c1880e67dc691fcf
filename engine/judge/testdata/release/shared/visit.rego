# METADATA
# title: The visit.
# description: The note of the visit may say another completion and cause, so that tests can.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.visit

told contains [parts[0], parts[1]] if {
	some line in split(input.visit.note, "; ")
	parts := split(line, " = ")
}

completion := "full" if not "completion" in {t[0] | some t in told}

completion := word if some ["completion", word] in told

cause := "" if not "cause" in {t[0] | some t in told}

cause := word if {
	some ["cause", word] in told
	word != "none at all"
}
