# METADATA
# scope: package
# title: The gate times are there, run forward, and lie inside the visit
# description: |
#   Only the gates need a time: what makes the place safe, isolates, protects, opens and shuts, gives power back. A time
#   outside the visit, or an end before its start, was not taken when it says. The end of the charge, the last watering,
#   calibrations and due dates lie outside by nature, but what is past cannot come after it.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "The times do not fit: {what}."
#   needs: "The record does not say when {missing}."
#   remedy: Correct the times from what was noted on the day; a time nobody noted is left out and said to be missing.
#   who: technician
#   concession: lead
#   since: visit/1
package procedure.record.gate_times

import data.shared.times
import data.shared.visit

subjects contains "visit"

spared := set()

# asked: the times that a step which was done must leave behind.
asked := {
	"place-safe": {"the place was made safe"},
	"isolate": {"the isolation began", "the isolation ended"},
	"protection-on": {"protection was put on", "protection was taken off"},
	"lid-open": {"the lid was opened"},
	"lid-shut": {"the lid was shut"},
	"cell-gravity": {"the first gravity was taken"},
	"power-back": {"power came back"},
	"emergency-stop": {"the emergency stop was tried"},
}

wanted contains what if {
	some step, whats in asked
	step in (visit.performed & visit.required_steps)
	some what in whats
}

# told: the times that the record tells, by what they are.
told contains {"what": "the place was made safe", "ns": times.made_safe, "at": "/place/made_safe_at"}

told contains {"what": "the isolation began", "ns": times.at(i.from), "at": sprintf("/isolations/%d/from", [n])} if some n, i in input.visit.isolations

told contains {"what": "the isolation ended", "ns": times.at(i.to), "at": sprintf("/isolations/%d/to", [n])} if some n, i in input.visit.isolations

told contains {"what": "protection was put on", "ns": times.protected_from, "at": "/protection/confirmed_at"}

told contains {"what": "protection was taken off", "ns": times.protected_to, "at": "/protection/kept_until"}

told contains {"what": "the lid was opened", "ns": times.lid_opened, "at": "/place/lid/opened_at"}

told contains {"what": "the lid was shut", "ns": times.lid_shut, "at": "/place/lid/shut_at"}

told contains {"what": "the first gravity was taken", "ns": times.gravity, "at": "/battery/gravity_at"}

told contains {"what": "water was added", "ns": times.watered, "at": "/battery/watering/at"}

told contains {"what": "power came back", "ns": times.power_back, "at": "/place/power_back/at"}

told contains {"what": "work was stopped", "ns": times.stopped, "at": "/stop/at"}

told contains {"what": "the visit was cut short", "ns": times.at(input.visit.cut_short.at), "at": "/cut_short/at"}

told contains {"what": "a tag was placed", "ns": times.at(t.at), "at": sprintf("/tags_placed/%d/at", [n])} if some n, t in input.visit.tags_placed

told contains {"what": "the emergency stop was tried", "ns": times.at(s.at), "at": sprintf("/steps/%d/at", [n])} if {
	some n, s in input.visit.steps
	s.step == "emergency-stop"
}

told contains {"what": sprintf("step %s was done", [s.step]), "ns": times.at(s.at), "at": sprintf("/steps/%d/at", [n])} if {
	some n, s in input.visit.steps
	s.step != "emergency-stop"
}

inside contains t if {
	some t in told
	t.ns >= times.started
	t.ns <= times.ended
}

# outer: what lies outside the visit by nature, and yet on one side of it; first may not come after last.
outer contains {"what": "the last watering before this visit is put after its start", "first": times.last_watered, "last": times.started, "at": "/battery/last_watered/at"}

outer contains {"what": "the charge is said to have ended after the visit", "first": times.charge_ended, "last": times.ended, "at": "/battery/charge/ended"}

outer contains {"what": "somebody was told before the visit began", "first": times.started, "last": times.at(t.at), "at": sprintf("/told/%d/at", [n])} if some n, t in input.visit.told

outer contains {"what": sprintf("block %s was fitted after the visit", [b.block]), "first": times.day_ns(b.fitted), "last": last_day, "at": sprintf("/battery/blocks/%d/fitted", [n])} if some n, b in input.visit.battery.blocks

outer contains {"what": "blocks were replaced after the visit", "first": times.day_ns(c.date), "last": last_day, "at": sprintf("/battery/changes/%d/date", [n])} if some n, c in input.visit.battery.changes

outer contains {"what": sprintf("the meter %s was replaced after the visit", [c.meter]), "first": times.day_ns(c.date), "last": last_day, "at": sprintf("/meter_changes/%d/date", [n])} if some n, c in input.visit.meter_changes

last_day := times.day_ns(substring(input.visit.ended, 0, 10))

on_its_side contains o if {
	some o in outer
	o.first <= o.last
}

# spans: what has a beginning and an end.
spans contains {"what": "the visit ended no later than it began", "from": times.started, "to": times.ended, "at": "/ended"}

spans contains {"what": "the isolation ended no later than it began", "from": times.at(i.from), "to": times.at(i.to), "at": sprintf("/isolations/%d/to", [n])} if some n, i in input.visit.isolations

spans contains {"what": "protection was taken off no later than it was put on", "from": times.protected_from, "to": times.protected_to, "at": "/protection/kept_until"}

spans contains {"what": "the lid was shut no later than it was opened", "from": times.lid_opened, "to": times.lid_shut, "at": "/place/lid/shut_at"}

forward contains s if {
	some s in spans
	s.to > s.from
}

# timed: the times of the steps in the order of the record.
timed := [times.at(s.at) | some s in input.visit.steps]

receipt_fits if count(input.received) == 0

receipt_fits if {
	some r in input.received
	times.at(r) >= times.ended
}

problems contains {"what": sprintf("%s outside the visit", [t.what]), "at": t.at} if {
	times.started < times.ended
	some t in (told - inside)
}

problems contains {"what": s.what, "at": s.at} if some s in (spans - forward)

problems contains {"what": o.what, "at": o.at} if some o in (outer - on_its_side)

problems contains {"what": "a step is timed before one that stands above it", "at": sprintf("/steps/%d/at", [n])} if {
	some n, s in input.visit.steps
	moment := times.at(s.at)
	some k, other in input.visit.steps
	k < n
	moment < times.at(other.at)
}

problems contains {"what": "the record was received before the visit ended", "at": "/ended"} if {
	some r in input.received
	times.at(r) < times.ended
}

conforming contains "visit" if {
	count(visit.requirement) > 0
	count(wanted - {t.what | some t in told}) == 0
	count(told - inside) == 0
	count(spans - forward) == 0
	count(outer - on_its_side) == 0
	timed == sort(timed)
	receipt_fits
}

nonconforming contains "visit" if count(problems) > 0

facts[subject] contains {"name": "what", "text": p.what} if {
	some subject in subjects
	some p in problems
}

facts[subject] contains {"name": "at", "at": p.at} if {
	some subject in subjects
	some p in problems
}

facts[subject] contains {"name": "missing", "text": what} if {
	some subject in subjects
	some what in (wanted - {t.what | some t in told})
}

facts[subject] contains {"name": "missing", "text": "what it had to do was done, since its class, kind or level is not known"} if {
	some subject in subjects
	count(visit.requirement) == 0
}
