# METADATA
# title: Reasons in words
# description: |
#   The reasons for which a reading could not be had that are states of the machine or of the visit, each as it is
#   printed. A reason that is not listed is want of evidence.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.reasons

state := {
	"corroded": "it was corroded",
	"not-charged": "the battery was not charged",
	"not-reached": "it was not reached",
	"hot": "it was too hot",
	"cold": "it was too cold",
	"frozen": "it was frozen",
	"stage-not-seen": "the stage was not seen",
	"not-rested": "it had not rested",
}

ended := "the visit ended before it"
