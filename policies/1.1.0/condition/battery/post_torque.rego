# METADATA
# scope: package
# title: Every terminal is as tight as its form asks
# description: |
#   A loose terminal heats and burns under load, an over-tight one strips its lead. A wrench that clicks shows that the
#   joint held at the value it was set to, or that it moved; it shows no value, so the upper end is judged on what it was
#   set to. Heavy corrosion eats torque: the joint is cleaned first and the torque taken after.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "{subject}: {reading}, {how}; allowed is {least} to {most}."
#   needs: "{subject}: a torque by a valid wrench is needed, read off its scale or held at a value from {least} to {most}."
#   needs_state: "The torque of {subject} could not be judged: {reason}."
#   remedy: Isolate, clean the joint if it is corroded, and set it to the maker's value; replace a stripped terminal.
#   who: technician
#   concession: lead
#   cautions:
#     - "A tool across two posts short-circuits the battery: insulated tools, jewellery off, one post bare at a time."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.post_torque

import data.shared.battery
import data.shared.exact
import data.shared.instruments
import data.shared.reasons
import data.shared.terminals
import data.shared.tolerance
import data.shared.visit

subjects contains post if {
	"battery" in visit.areas
	some post in battery.posts
}

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

# torque: the readings of a post that count.
torque[concat(" ", ["post", p.post])] contains {"reading": p.torque.as_left, "at": sprintf("/battery/posts/%d/torque/as_left", [i])} if {
	some i, p in input.visit.battery.posts
}

torque[concat(" ", ["post", p.post])] contains {"reading": p.torque.as_found, "at": sprintf("/battery/posts/%d/torque/as_found", [i])} if {
	some i, p in input.visit.battery.posts
	not p.torque.as_left
}

# places: where what a wrench showed stands to the limit. What was read off a scale stands where its value does; a joint
# that held at a value stands there or above; one that moved was loose.
places[post] contains tolerance.exactly(exact.of(t.reading.value, data.units[t.reading.unit]), r.limit) if {
	some post, readings in torque
	some t in readings
	t.reading.method == "read"
	t.reading.result == "value"
	instruments.usable(t.reading, "torque")
	some r in terminals.torque
}

places[post] contains at_least[tolerance.exactly(exact.of(t.reading.value, data.units[t.reading.unit]), r.limit)] if {
	some post, readings in torque
	some t in readings
	t.reading.method in {"set-and-click", "hold-check"}
	t.reading.result == "held"
	instruments.usable(t.reading, "torque")
	some r in terminals.torque
}

places[post] contains "moved" if {
	some post, readings in torque
	some t in readings
	t.reading.method in {"set-and-click", "hold-check"}
	t.reading.result == "moved"
	instruments.usable(t.reading, "torque")
}

at_least := {"low": "unknown", "in": "in", "high": "high"}

# seated: posts whose joint a torque says something about.
seated contains concat(" ", ["post", p.post]) if {
	some p in input.visit.battery.posts
	p.corrosion in {"none", "light"}
}

seated contains concat(" ", ["post", p.post]) if {
	some p in input.visit.battery.posts
	p.torque.as_left.value
	p.cleaned == true
	p.corrosion_left == "none"
}

corroded contains concat(" ", ["post", p.post]) if {
	some p in input.visit.battery.posts
	p.corrosion == "heavy"
}

through_corrosion contains post if {
	some post, {"in"} in places
	post in ((subjects - seated) & corroded)
}

conforming contains post if {
	some post, {"in"} in places
	post in seated
	post in subjects
}

nonconforming contains post if {
	some post, stands in places
	count(stands & {"low", "high", "moved"}) > 0
	post in subjects
}

not_possible contains post if some post in through_corrosion

not_possible contains post if {
	some post, _ in not_had
	post in subjects
}

not_possible contains post if some post in not_reached

not_reached contains post if {
	visit.cut_off
	some post in ((subjects - object.keys(torque)) - object.keys(not_had))
}

# not_had: why a torque could not be had, for a reason that is a state and stands in the record.
not_had[concat(" ", ["post", p.post])] contains reasons.state[p.torque.not_obtained.reason] if {
	some p in input.visit.battery.posts
	not p.torque.as_left
}

facts[post] contains {"name": "reading", "at": t.at} if {
	some post, readings in torque
	some t in readings
}

facts[post] contains {"name": "how", "text": words[t.reading.method][t.reading.result]} if {
	some post, readings in torque
	some t in readings
}

words := {
	"read": {"value": "read off the scale", "held": "with no value read off the scale", "moved": "with no value read off the scale"},
	"set-and-click": {"value": "with no word on whether it held", "held": "held at this setting", "moved": "moved before the wrench clicked"},
	"hold-check": {"value": "with no word on whether it held", "held": "held at this torque", "moved": "moved under this torque"},
}

facts[post] contains {"name": "least", "limit": concat(".", ["battery", r.name]), "bound": "min"} if {
	some post in subjects
	some r in terminals.torque
}

facts[post] contains {"name": "most", "limit": concat(".", ["battery", r.name]), "bound": "max"} if {
	some post in subjects
	some r in terminals.torque
}

facts[post] contains {"name": "reason", "text": reason} if {
	some post, why in not_had
	some reason in why
}

facts[post] contains {"name": "reason", "text": "it was taken through heavy corrosion"} if some post in through_corrosion

facts[post] contains {"name": "reason", "text": reasons.ended} if some post in not_reached
