# METADATA
# scope: package
# title: Those who did the work are named and were there
# description: |
#   Work by somebody the record does not name, or by somebody who had left, was done by nobody who can answer for it.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "The people do not fit the work: {what}."
#   needs: "The people of the visit, and by whom each step was done, are needed."
#   remedy: Correct who did the work and when they were there.
#   who: technician
#   concession: lead
#   since: visit/1
package procedure.record.people_present

import data.shared.steps
import data.shared.times
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nothing was attended" if visit.not_available

people contains p.id if some p in input.visit.people

# there: people whose time lies inside the visit.
there contains p.id if {
	some p in input.visit.people
	times.at(p.present_from) >= times.started
	times.at(p.present_from) < times.at(p.present_to)
	times.at(p.present_to) <= times.ended
}

# strangers: whom the record says did something, and does not have among its people.
strangers := ({s.by | some s in input.visit.steps} | {x.by | some x in input.visit.isolations}) - people

# gates: the time at which a step passed its gate, where the gate stands apart from the step.
gates contains {"step": "place-safe", "ns": times.made_safe, "at": "/place/made_safe_at"}

gates contains {"step": "protection-on", "ns": times.protected_from, "at": "/protection/confirmed_at"}

gates contains {"step": "lid-open", "ns": times.lid_opened, "at": "/place/lid/opened_at"}

gates contains {"step": "cell-gravity", "ns": times.gravity, "at": "/battery/gravity_at"}

gates contains {"step": "battery-water", "ns": times.watered, "at": "/battery/watering/at"}

gates contains {"step": "lid-shut", "ns": times.lid_shut, "at": "/place/lid/shut_at"}

gates contains {"step": "power-back", "ns": times.power_back, "at": "/place/power_back/at"}

# timed: what somebody did at a time that is told; seen: those of them that somebody there then did.
timed contains {"by": s.by, "did": concat(" ", ["step", s.step]), "ns": ns, "at": sprintf("/steps/%d/at", [i])} if {
	some i, ns in times.stepped
	s := input.visit.steps[i]
}

timed contains {"by": s.by, "did": concat(" ", ["step", s.step]), "ns": gate.ns, "at": gate.at} if {
	some step, places in steps.place
	some gate in gates
	gate.step == step
	some i in places
	s := input.visit.steps[i]
}

timed contains {"by": x.by, "did": "the isolation", "ns": times.at(x.from), "at": sprintf("/isolations/%d/from", [i])} if some i, x in input.visit.isolations

seen contains d if {
	some d in timed
	some p in input.visit.people
	p.id == d.by
	times.at(p.present_from) <= d.ns
	d.ns <= times.at(p.present_to)
}

problems contains {"what": sprintf("%s was not there during the visit, or not for the time stated", [p.id]), "at": sprintf("/people/%d/present_from", [i])} if {
	some i, p in input.visit.people
	not p.id in there
}

problems contains {"what": sprintf("%s is not among the people of the visit", [by]), "at": sprintf("/steps/%d/by", [i])} if {
	some by in strangers
	some i, s in input.visit.steps
	s.by == by
}

problems contains {"what": sprintf("%s is not among the people of the visit", [by]), "at": sprintf("/isolations/%d/by", [i])} if {
	some by in strangers
	some i, x in input.visit.isolations
	x.by == by
}

problems contains {"what": sprintf("%s did %s when not there", [d.by, d.did]), "at": d.at} if {
	some d in (timed - seen)
	d.by in people
}

conforming contains "visit" if {
	visit.attended
	count(visit.requirement) > 0
	count(people) > 0
	count(people - there) == 0
	count(strangers) == 0
	count(timed - seen) == 0
}

nonconforming contains "visit" if {
	visit.attended
	count(problems) > 0
}

facts[subject] contains {"name": "what", "text": p.what} if {
	some subject in subjects
	some p in problems
}

facts[subject] contains {"name": "at", "at": p.at} if {
	some subject in subjects
	some p in problems
}
