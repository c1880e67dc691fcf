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

# timed: steps with a time; seen: those of them that somebody there then did.
timed := object.keys(times.stepped)

seen contains i if {
	some i, at in times.stepped
	s := input.visit.steps[i]
	some p in input.visit.people
	p.id == s.by
	times.at(p.present_from) <= at
	at <= times.at(p.present_to)
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

problems contains {"what": sprintf("%s did step %s when not there", [s.by, s.step]), "at": sprintf("/steps/%d/at", [i])} if {
	some i in (timed - seen)
	s := input.visit.steps[i]
	s.by in people
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
