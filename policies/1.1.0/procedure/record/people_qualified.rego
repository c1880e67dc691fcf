# METADATA
# scope: package
# title: The battery is for the qualified, and no trainee works alone
# description: |
#   Acid, hydrogen and a pack that cannot be switched off hurt those who do not know them. A step on the battery needs a
#   person whose qualification holds on the day, or a trainee with such a person at their side; a trainee at any other
#   step needs a technician or electrician there.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "{subject} ({title}) was done by {by}, {why}."
#   needs: "{subject}: it is not shown that somebody did it who may; by whom, with what qualification, and who was at a trainee's side is needed."
#   needs_state: "{subject} ({title}) was not done, so nobody did it."
#   remedy: Have the step done again by a qualified person, or with one at the trainee's side.
#   who: lead
#   concession: never
#   cautions:
#     - Work on batteries means acid, hydrogen and live terminals; follow the battery's manual and local codes, and leave it to a qualified person.
#   since: visit/1
package procedure.record.people_qualified

import data.shared.checklist
import data.shared.people
import data.shared.steps
import data.shared.visit

subjects contains subject if {
	visit.attended
	some _, subject in checklist.subject
}

spared contains "nothing was attended" if visit.not_available

on_battery contains s if {
	some s, row in data.steps
	row.area == "battery"
}

elsewhere := object.keys(data.steps) - on_battery

# led: trainees with the right person at their side; a qualified one by the open lid serves for the battery.
led_on_battery contains t if {
	some [t, p] in people.throughout
	p in people.qualified
}

led_on_battery contains t if {
	some [t, p] in people.sometime
	p in (people.qualified & people.by_the_lid)
}

led_elsewhere contains t if {
	some [t, p] in people.throughout
	p in people.guides
}

may_on_battery := people.qualified | led_on_battery

may_elsewhere := people.working | led_elsewhere

# unqualified, unled, alone: who may not, whatever else were shown.
unqualified := people.working - people.qualified

unled := people.trainees - {t | some [t, p] in people.sometime; p in people.qualified}

alone := people.trainees - {t | some [t, p] in people.sometime; p in people.guides}

# well: places of what somebody did who may do it; ill: steps, with their places, of what somebody did who may not.
well_on_battery contains i if {
	some person in may_on_battery
	some i in people.did[person]
}

well_elsewhere contains i if {
	some person in may_elsewhere
	some i in people.did[person]
}

ill contains {"step": s.step, "place": i, "why": "who has no qualification for batteries that holds on the day"} if {
	some person in unqualified
	some i in people.did[person]
	s := input.visit.steps[i]
	s.step in on_battery
}

ill contains {"step": s.step, "place": i, "why": "a trainee, and nobody qualified for batteries was there"} if {
	some person in unled
	some i in people.did[person]
	s := input.visit.steps[i]
	s.step in on_battery
}

ill contains {"step": s.step, "place": i, "why": "a trainee, and no technician was there"} if {
	some person in alone
	some i in people.did[person]
	s := input.visit.steps[i]
	s.step in elsewhere
}

by_ill := {x.step | some x in ill; x.place in steps.place[x.step]}

by_well contains step if {
	some step, places in steps.place
	step in on_battery
	count(places - well_on_battery) == 0
}

by_well contains step if {
	some step, places in steps.place
	step in elsewhere
	count(places - well_elsewhere) == 0
}

conforming contains checklist.subject[s] if {
	visit.attended
	some s in (by_well & visit.required_steps)
}

nonconforming contains checklist.subject[s] if {
	visit.attended
	some s in (by_ill & visit.required_steps)
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

facts[subject] contains {"name": "why", "text": x.why} if {
	some s, subject in checklist.subject
	some x in ill
	x.step == s
}

facts[subject] contains {"name": "by", "at": sprintf("/steps/%d/by", [i])} if {
	some step, subject in checklist.subject
	some i, s in input.visit.steps
	s.step == step
}
