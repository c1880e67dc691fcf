# METADATA
# title: The technician signed
# description: A record that nobody signed is nobody's word.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   concession: lead
#   says: "{subject} is signed by {by}, who was not there."
#   needs: "{subject} needs a signature."
#   remedy: "Have it signed."
#   who: technician
#   since: visit/1
package procedure.closing.signed

subjects contains "visit"

spared contains "nobody needs to sign" if false

conforming contains "visit" if {
	some p in input.visit.people
	p.id == input.visit.signatures.technician.by
}

nonconforming contains "visit" if {
	count(input.visit.people) > 0
	count([p | some p in input.visit.people; p.id == input.visit.signatures.technician.by]) == 0
}

facts["visit"] contains {"name": "by", "at": "/signatures/technician/by"}
