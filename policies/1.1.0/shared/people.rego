# METADATA
# title: The people of the visit
# description: |
#   Who may work on the battery, who may look after a trainee, and how long each was there. A trainee never works alone,
#   whatever they are qualified for.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.people

import data.shared.times
import data.shared.visit

# working: everybody but the trainees; guides: those of them who may look after a trainee.
working contains p.id if {
	some p in input.visit.people
	p.role in {"technician", "electrician", "helper"}
}

guides contains p.id if {
	some p in input.visit.people
	p.role in {"technician", "electrician"}
}

trainees contains p.id if {
	some p in input.visit.people
	p.role == "trainee"
}

# qualified: for battery work, on the day.
qualified contains p.id if {
	some p in input.visit.people
	p.id in working
	some q in p.qualifications
	q.for == "battery"
	q.valid_until >= visit.day
}

# did: the places in the record of the steps that somebody did.
did := {person: places |
	some person in {s.by | some s in input.visit.steps}
	places := {i | some i, s in input.visit.steps; s.by == person}
}

# throughout: [trainee, person], the person there all the time the trainee was; sometime: for some of it.
throughout contains [t.id, p.id] if {
	some t in input.visit.people
	t.id in trainees
	some p in input.visit.people
	p.id in working
	times.at(p.present_from) <= times.at(t.present_from)
	times.at(p.present_to) >= times.at(t.present_to)
}

sometime contains [t.id, p.id] if {
	some t in input.visit.people
	t.id in trainees
	some p in input.visit.people
	p.id in working
	times.at(p.present_from) < times.at(t.present_to)
	times.at(p.present_to) > times.at(t.present_from)
}

# by_the_lid: there all the time the lid was open, which is when the battery is worked on.
by_the_lid contains p.id if {
	some p in input.visit.people
	times.at(p.present_from) <= times.lid_opened
	times.at(p.present_to) >= times.lid_shut
}
