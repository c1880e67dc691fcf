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

# workers: whom the record says did something, and where it says so.
workers contains {"by": s.by, "at": sprintf("/steps/%d/by", [i])} if some i, s in input.visit.steps

workers contains {"by": x.by, "at": sprintf("/isolations/%d/by", [i])} if some i, x in input.visit.isolations

# timed: steps with a time, and those of them that somebody there then did.
timed contains i if {
	some i, s in input.visit.steps
	s.at
}

seen contains i if {
	some i, s in input.visit.steps
	some p in input.visit.people
	p.id == s.by
	times.at(p.present_from) <= times.at(s.at)
	times.at(s.at) <= times.at(p.present_to)
}

problems contains {"what": sprintf("%s was not there during the visit, or not for the time stated", [p.id]), "at": sprintf("/people/%d/present_from", [i])} if {
	some i, p in input.visit.people
	not p.id in there
}

problems contains {"what": sprintf("%s is not among the people of the visit", [w.by]), "at": w.at} if {
	some w in workers
	not w.by in people
}

problems contains {"what": sprintf("%s did step %s when not there", [s.by, s.step]), "at": sprintf("/steps/%d/at", [i])} if {
	some i, s in input.visit.steps
	s.by in people
	i in (timed - seen)
}

conforming contains "visit" if {
	visit.attended
	count(visit.requirement) > 0
	count(people) > 0
	count(people - there) == 0
	count({w.by | some w in workers} - people) == 0
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
