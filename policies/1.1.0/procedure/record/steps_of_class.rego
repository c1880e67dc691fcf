# METADATA
# scope: package
# title: The record has no step that this visit does not ask for
# description: |
#   A step that no one knows was judged by no one. One that the class has at another level only, or not at all, mostly
#   means that the level or the class is wrong. Re-inspections and repairs may do any step that the machine has.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "The record has steps {why}: {extra}."
#   needs: "The class of the machine and its requirements for this kind and level of visit are needed to tell which steps belong to it."
#   remedy: Correct the step's name, or the class, kind or level of the visit.
#   who: technician
#   concession: lead
#   since: visit/1
package procedure.record.steps_of_class

import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nothing was attended" if visit.not_available

asked contains s if some s in visit.required_steps

asked contains s if {
	input.visit.kind in {"re-inspection", "repair"}
	count(visit.requirement) > 0
	some row in visit.class.requires
	some s in row.steps
}

names contains s.step if some s in input.visit.steps

known contains s if some s, _ in data.steps

conforming contains "visit" if {
	visit.attended
	count(asked) > 0
	is_array(input.visit.steps)
	count(names - asked) == 0
}

unknown := names - known

extra contains s if {
	count(asked) > 0
	some s in ((names & known) - asked)
}

nonconforming contains "visit" if {
	visit.attended
	count(unknown | extra) > 0
}

severity[subject] := "minor" if {
	some subject in subjects
	count(unknown) == 0
	count(extra) > 0
}

facts[subject] contains {"name": "why", "text": "that the release does not know"} if {
	some subject in subjects
	count(unknown) > 0
}

facts[subject] contains {"name": "why", "text": "that this visit does not ask for"} if {
	some subject in subjects
	count(extra) > 0
}

facts[subject] contains {"name": "extra", "text": s} if {
	some subject in subjects
	some s in (unknown | extra)
}

facts[subject] contains {"name": "at", "at": sprintf("/steps/%d/step", [i])} if {
	some subject in subjects
	some i, s in input.visit.steps
	s.step in (unknown | extra)
}
