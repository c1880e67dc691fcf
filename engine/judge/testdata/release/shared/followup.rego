# METADATA
# title: What rules share.
# description: Only what the engine reads of every release.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.followup

followed_up contains subject if {
	some f in input.visit.follow_ups
	some subject in f.about
}
