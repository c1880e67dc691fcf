# METADATA
# scope: package
# title: Every part that was replaced is named, in and out
# description: |
#   Without the part's name nobody can recall it, charge it or know what the machine holds.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: minor
#   says: "{open} was replaced, and no part is named for it."
#   needs: "No step is recorded."
#   remedy: "Name what was fitted, what was taken out and where it went."
#   who: technician
#   concession: lead
#   since: visit/1
package procedure.closing.parts_named

import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "the machine could not be attended" if visit.not_available

replaced contains s.step if {
	some s in input.visit.steps
	s.done == "replaced"
}

named contains p.step if some p in input.visit.parts

unnamed := replaced - named

conforming contains "visit" if {
	visit.attended
	count(input.visit.steps) > 0
	count(unnamed) == 0
}

nonconforming contains "visit" if {
	visit.attended
	count(unnamed) > 0
}

facts.visit contains {"name": "open", "text": data.steps[s].title} if some s in unnamed
