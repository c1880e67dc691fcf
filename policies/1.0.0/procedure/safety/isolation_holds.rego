# METADATA
# scope: package
# title: Isolated steps lie inside the isolation, powered ones outside it
# description: |
#   Hands go in only while the machine is isolated, and nothing is powered in that time. Gates carry times and lie
#   inside an isolation; the other steps are ordered by their place in the record, from isolating to guards refitted.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   basis: common practice
#   says: "{subject}: {what}."
#   needs: "{subject}: the power it was done under, and its place between isolating and refitting the guards or outside them, are needed; for the isolation, the times of lid, gravity, water and power."
#   needs_state: "{subject} was not done: {reason}."
#   remedy: Treat what was done so as not done. Isolate, try dead, and do it again in its order.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - A step that needs the machine isolated is done in reach of moving parts and live metal; follow the machine's manual, and leave it to a qualified person if in doubt.
package procedure.safety.isolation_holds

import data.shared.gates
import data.shared.steps
import data.shared.times
import data.shared.visit

subjects contains concat(" ", ["step", s]) if {
	visit.attended
	some s in visit.required_steps
	data.steps[s].power in {"isolated", "key-on", "charger-on"}
}

subjects contains "isolation" if {
	visit.attended
	some s in visit.required_steps
	data.steps[s].power == "isolated"
}

spared contains "nobody attended the machine" if visit.not_available

# opens, closes: places where an isolation begins and where it ends.
opens := object.get(steps.place, "isolate", set())

closes := object.get(steps.place, "guards-refitted", set())

all_places := {i | some i, _ in input.visit.steps}

# shut: places from where an isolation begins to where it ends; under: those, and the places after one that nothing ends;
# outside: places before the first isolation or after one that was closed.
shut contains i if {
	some begun in opens
	some i in numbers.range(begun, min({c | some c in closes; c >= begun}))
}

under := shut | {i |
	some begun in opens
	count({c | some c in closes; c >= begun}) == 0
	some i in numbers.range(begun, max(all_places))
}

outside := all_places - under if count(opens) > 0

outside := all_places if {
	count(opens) == 0
	"isolate" in steps.not_reached
	count(input.visit.isolations) == 0
}

# closed: the isolation a place is under has its end in the record, or the visit was cut off and power not given back.
closed contains i if some i in shut

closed contains i if {
	visit.cut_off
	input.visit.place.power_back.done == false
	some i in under
}

# isolated_done, powered_done: places of the performed steps that need the machine isolated, and of those that need it
# powered.
isolated_done := {concat(" ", ["step", step]): places |
	some step, places in steps.place
	data.steps[step].power == "isolated"
}

powered_done := {concat(" ", ["step", step]): places |
	some step, places in steps.place
	data.steps[step].power in {"key-on", "charger-on"}
}

# isolated: places of steps recorded as done with the machine isolated. Whether a powered step had its power is asked
# by procedure.record.powers_right.
isolated contains i if {
	some i, s in input.visit.steps
	s.power == "isolated"
}

wrong contains {"subject": subject, "what": "it needs the machine isolated and was done with it not isolated", "at": sprintf("/steps/%d/power", [i])} if {
	some subject, places in isolated_done
	some i in (places - isolated)
	input.visit.steps[i].power != "isolated"
}

wrong contains {"subject": subject, "what": "it stands in the record outside isolating and refitting the guards", "at": sprintf("/steps/%d/step", [i])} if {
	some subject, places in isolated_done
	some i in (places & outside)
}

wrong contains {"subject": subject, "what": "it was done under power while the machine was to be isolated", "at": sprintf("/steps/%d/step", [i])} if {
	some subject, places in powered_done
	some i in (places & under)
}

# intervals: the isolations as instants.
intervals contains {"from": times.at(i.from), "to": times.at(i.to)} if some i in input.visit.isolations

# A step that bears a time lies inside an isolation, or outside all of them; at the same minute, its place counts.
wrong contains {"subject": concat(" ", ["step", s.step]), "what": "its time lies in no isolation", "at": sprintf("/steps/%d/at", [i])} if {
	some i, t in times.stepped
	s := input.visit.steps[i]
	data.steps[s.step].power == "isolated"
	count({n | some n in intervals; n.from <= t; t <= n.to}) == 0
}

wrong contains {"subject": concat(" ", ["step", s.step]), "what": "its time lies in an isolation", "at": sprintf("/steps/%d/at", [i])} if {
	some i, t in times.stepped
	s := input.visit.steps[i]
	data.steps[s.step].power in {"key-on", "charger-on"}
	some n in intervals
	n.from < t
	t < n.to
}

# The gates of the isolation itself: its ends, the lid, gravity, water and the return of power.
needed := {"ends", "lid", "gravity", "water", "power"}

kept contains "ends" if count(input.visit.isolations) > 0

kept contains "lid" if input.visit.place.lid.opened == false

kept contains "lid" if {
	input.visit.place.lid.shut == true
	some n in intervals
	n.from <= times.lid_opened
	times.lid_opened <= times.lid_shut
	times.lid_shut <= n.to
}

kept contains "lid" if {
	input.visit.place.lid.shut == false
	some n in intervals
	n.from <= times.lid_opened
	times.lid_opened <= n.to
}

kept contains gate if some gate in gates.not_needed

kept contains "gravity" if {
	some n in intervals
	n.from <= times.gravity
	times.gravity <= n.to
}

kept contains "water" if {
	some n in intervals
	n.from <= times.watered
	times.watered <= n.to
}

kept contains "power" if {
	visit.cut_off
	input.visit.place.power_back.done == false
}

kept contains "power" if times.power_back >= max({n.to | some n in intervals})

broken contains {"subject": "isolation", "what": "it ends before it begins", "at": sprintf("/isolations/%d/to", [i])} if {
	some i, isolation in input.visit.isolations
	times.at(isolation.to) <= times.at(isolation.from)
}

broken contains {"subject": "isolation", "what": "the lid was open outside it", "at": "/place/lid/opened_at"} if {
	opened := times.lid_opened
	shut := times.lid_shut
	count({n | some n in intervals; n.from <= opened; shut <= n.to}) == 0
}

broken contains {"subject": "isolation", "what": "the lid was opened outside it", "at": "/place/lid/opened_at"} if {
	t := times.lid_opened
	count({n | some n in intervals; n.from <= t; t <= n.to}) == 0
}

broken contains {"subject": "isolation", "what": "gravity was taken outside it", "at": "/battery/gravity_at"} if {
	t := times.gravity
	count({n | some n in intervals; n.from <= t; t <= n.to}) == 0
}

broken contains {"subject": "isolation", "what": "water was added outside it", "at": "/battery/watering/at"} if {
	t := times.watered
	count({n | some n in intervals; n.from <= t; t <= n.to}) == 0
}

broken contains {"subject": "isolation", "what": "power came back before it ended", "at": "/place/power_back/at"} if {
	times.power_back < max({n.to | some n in intervals})
}

faults := wrong | broken

faulty contains f.subject if some f in faults

proven contains subject if {
	some subject, places in isolated_done
	count(((places - closed) | (places - isolated))) == 0
}

proven contains subject if {
	some subject, places in powered_done
	count(places - outside) == 0
	count(input.visit.isolations) > 0
}

proven contains subject if {
	some subject, places in powered_done
	count(places - outside) == 0
	"isolate" in steps.not_reached
}

conforming contains subject if some subject in ((proven & subjects) - faulty)

conforming contains "isolation" if {
	"isolation" in subjects
	kept == needed
	count(broken) == 0
}

nonconforming contains subject if some subject in (subjects & faulty)

left_undone[concat(" ", ["step", step])] contains steps.why[reason] if {
	some step, reasons in visit.skipped_for
	some reason in reasons
}

left_undone[concat(" ", ["step", step])] contains steps.why["not-reached"] if some step in steps.not_reached

# A step that the record has twice, once as left undone, is judged by the time it was done.
not_possible contains subject if {
	some subject in (((subjects - faulty) - proven) & object.keys(left_undone))
	count(object.get(isolated_done, subject, set())) == 0
	count(object.get(powered_done, subject, set())) == 0
}

not_possible contains "isolation" if {
	"isolation" in subjects
	"isolate" in steps.not_reached
	count(input.visit.isolations) == 0
	count(broken) == 0
}

# A step that was not done endangered nobody; that it is missing is told by other rules.
severity[subject] := "minor" if some subject in (not_possible - {"isolation"})

facts[f.subject] contains {"name": "what", "text": f.what} if some f in faults

facts[f.subject] contains {"name": "at", "at": f.at} if some f in faults

facts[subject] contains {"name": "reason", "text": reason} if {
	some subject, reasons in left_undone
	subject in subjects
	some reason in reasons
}

facts.isolation contains {"name": "reason", "text": steps.why["not-reached"]} if {
	"isolation" in subjects
	"isolate" in steps.not_reached
}
