# METADATA
# scope: package
# title: No step stands in the record twice
# description: |
#   Of a step recorded twice nobody knows which entry holds, or where in the order it was done. What was done again after
#   a correction is the same step: its found, done and left say so.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "The record has more than one entry for {twice}."
#   needs: "The steps of the record, and what this visit requires, are needed."
#   remedy: Make one entry of them, with what was found, what was done and how it was left.
#   who: technician
#   concession: lead
#   since: visit/1
package procedure.record.steps_once

import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nothing was attended" if visit.not_available

names contains s.step if some s in input.visit.steps

conforming contains "visit" if {
	visit.attended
	count(visit.requirement) > 0
	count(input.visit.steps) == count(names)
}

nonconforming contains "visit" if {
	visit.attended
	count(input.visit.steps) > count(names)
}

twice contains {"step": s.step, "at": sprintf("/steps/%d/step", [i])} if {
	some i, s in input.visit.steps
	some k, other in input.visit.steps
	k < i
	other.step == s.step
}

facts[subject] contains {"name": "twice", "text": t.step} if {
	some subject in subjects
	some t in twice
}

facts[subject] contains {"name": "at", "at": t.at} if {
	some subject in subjects
	some t in twice
}
