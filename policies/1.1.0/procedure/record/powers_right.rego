# METADATA
# scope: package
# title: Every step was done with the power it needs
# description: |
#   A hand goes where nothing may move, and a function is tried where everything can. A machine that is isolated is off
#   as well, so a step that needs the key off may be done isolated.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "{subject} ({title}) was done {power}; it is to be done {needed}."
#   needs: "{subject}: the record does not say with what power it was done, or which steps the visit requires."
#   needs_state: "{subject} ({title}) was not done, so it had no power."
#   remedy: Do the step again with the power it needs.
#   who: technician
#   concession: never
#   cautions:
#     - A machine that is not isolated can start, and its battery stays live with the key off; follow the manuals and local codes, and leave it to a qualified person if in doubt.
#   since: visit/1
package procedure.record.powers_right

import data.shared.checklist
import data.shared.steps
import data.shared.visit

subjects contains subject if {
	visit.attended
	some _, subject in checklist.subject
}

spared contains "nothing was attended" if visit.not_available

# right: places at which a step that needs a power has it. To read the plate or to sign is the same with any power.
right := {
	"isolated": steps.under_power.isolated,
	"key-off": (steps.under_power["key-off"] | steps.under_power.isolated),
	"key-on": steps.under_power["key-on"],
	"charger-on": steps.under_power["charger-on"],
	"either": union({places | some places in steps.under_power}),
}

wrong contains step if {
	some step, places in steps.place
	count(places - right[data.steps[step].power]) > 0
}

rightly contains step if {
	some step, places in steps.place
	count(places - right[data.steps[step].power]) == 0
}

conforming contains checklist.subject[s] if {
	visit.attended
	some s in (rightly & visit.required_steps)
}

nonconforming contains checklist.subject[s] if {
	visit.attended
	some s in (wrong & visit.required_steps)
}

not_possible contains checklist.subject[s] if {
	visit.attended
	some s in (checklist.undone & visit.required_steps)
}

not_possible contains checklist.subject[s] if {
	visit.attended
	visit.cut_off
	some s in (checklist.missing & visit.required_steps)
}

# A step that was not done is told of by what it leaves unjudged; here it weighs little.
severity[subject] := "minor" if some subject in not_possible

facts[subject] contains {"name": "title", "text": data.steps[s].title} if some s, subject in checklist.subject

words := {
	"isolated": "with the machine isolated",
	"key-off": "with the key off",
	"key-on": "with the key on",
	"charger-on": "with the charger on",
}

facts[subject] contains {"name": "needed", "text": words[data.steps[s].power]} if some s, subject in checklist.subject

facts[subject] contains {"name": "power", "text": words[s.power]} if {
	some step, subject in checklist.subject
	some s in input.visit.steps
	s.step == step
}

facts[subject] contains {"name": "at", "at": sprintf("/steps/%d/power", [i])} if {
	some step, subject in checklist.subject
	some i, s in input.visit.steps
	s.step == step
}
