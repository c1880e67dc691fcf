# METADATA
# title: The plan is kept
# description: Spared on a first visit.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: minor
#   basis: common practice
#   concession: never
#   says: "{subject} is late."
#   needs: "{subject} needs an earlier visit."
#   remedy: "Come earlier."
#   who: technician
#   since: visit/1
package programme.plan.kept

subjects contains "visit" if input.visit.first_visit == false

spared contains "this is the first visit" if input.visit.first_visit == true

conforming contains "visit" if {
	input.visit.first_visit == false
	count(input.earlier.last_services) > 0
}

nonconforming contains "visit" if {
	input.visit.first_visit == false
	count(input.earlier.last_services) > 100
}
