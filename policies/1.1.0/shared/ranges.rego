# METADATA
# title: Numbers of the class
# description: |
#   What one design of machine is judged by stands in its class, by group; the readings stand with the steps. A rule of
#   condition.machine takes one group.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.ranges

import data.shared.exact
import data.shared.instruments
import data.shared.reasons
import data.shared.steps
import data.shared.tolerance
import data.shared.visit

# wanted: the ranges of a group whose step this visit requires.
wanted[range.group] contains subject if {
	some range in visit.class.ranges
	range.step in visit.required_steps
	subject := concat(" ", ["reading", range.reading])
}

severity := {concat(" ", ["reading", range.reading]): range.severity | some range in visit.class.ranges}

of_reading := {range.reading: range | some range in visit.class.ranges}

# taken: the readings that count, by name.
taken[r.reading] contains {"reading": r.as_left, "at": sprintf("/steps/%d/readings/%d/as_left", [i, k])} if {
	some i, s in input.visit.steps
	some k, r in s.readings
}

taken[r.reading] contains {"reading": r.as_found, "at": sprintf("/steps/%d/readings/%d/as_found", [i, k])} if {
	some i, s in input.visit.steps
	some k, r in s.readings
	not r.as_left
}

# read_off: instruments that serve for a number of the class. A length may be looked at (a level is read no other way),
# but one that is held to a number is read off something that was checked.
read_off contains [quantity, id] if {
	some ["today", quantity, id] in instruments.fit
	quantity != "length"
}

read_off contains ["length", i.id] if {
	some i in input.visit.instruments
	i.kind in {"checked", "calibrated"}
	["today", "length", i.id] in instruments.fit
}

# place: where the usable readings of a subject stand to its range.
place[concat(" ", ["reading", reading])] contains tolerance.exactly(q, range) if {
	some reading, readings in taken
	range := of_reading[reading]
	some t in readings
	data.units[t.reading.unit].quantity == data.units[range.unit].quantity
	instruments.usable(t.reading, data.units[range.unit].quantity)
	[data.units[range.unit].quantity, t.reading.instrument] in read_off
	q := exact.of(t.reading.value, data.units[t.reading.unit])
}

inside contains subject if {
	some subject, places in place
	places == {"in"}
}

outside contains subject if {
	some subject, places in place
	some p in places
	p in {"low", "high"}
}

# left_out: not measured, for a reason that stands in the record: the step was skipped, the reading could not be had, or
# the visit ended before it. What the record gives a number for all the same was measured.
left_out[concat(" ", ["reading", range.reading])] contains reason if {
	some step, codes in visit.skipped_for
	some range in visit.class.ranges
	range.step == step
	count(object.get(taken, range.reading, set())) == 0
	some code in codes
	code != "not-stated"
	reason := steps.why[code]
}

left_out[concat(" ", ["reading", r.reading])] contains reasons.state[r.not_obtained.reason] if {
	some s in input.visit.steps
	some r in s.readings
	count(object.get(taken, r.reading, set())) == 0
}

left_out[concat(" ", ["reading", range.reading])] contains reasons.ended if {
	visit.cut_off
	some range in visit.class.ranges
	count(object.get(taken, range.reading, set())) == 0
}

facts[concat(" ", ["reading", range.reading])] contains {"name": "reading", "at": t.at} if {
	some name, readings in taken
	some range in visit.class.ranges
	range.reading == name
	some t in readings
}

facts[concat(" ", ["reading", range.reading])] contains {"name": "what", "text": range.title} if some range in visit.class.ranges

facts[concat(" ", ["reading", range.reading])] contains {"name": "allowed", "text": sprintf("%v to %v%s", [range.min, range.max, unit_of[range.unit]])} if {
	some range in visit.class.ranges
	range.min < range.max
}

facts[concat(" ", ["reading", range.reading])] contains {"name": "allowed", "text": sprintf("%v%s", [range.min, unit_of[range.unit]])} if {
	some range in visit.class.ranges
	range.min == range.max
}

facts[concat(" ", ["reading", range.reading])] contains {"name": "allowed", "text": sprintf("at least %v%s", [range.min, unit_of[range.unit]])} if {
	some range in visit.class.ranges
	not range.max
}

facts[concat(" ", ["reading", range.reading])] contains {"name": "allowed", "text": sprintf("at most %v%s", [range.max, unit_of[range.unit]])} if {
	some range in visit.class.ranges
	not range.min
}

# least, most: the ends of the range as numbers, so that a reading in another unit is told in theirs too.
facts[concat(" ", ["reading", range.reading])] contains {"name": "least", "number": range.min, "scale": 1, "place": decimals[range.place], "unit": range.unit} if some range in visit.class.ranges

facts[concat(" ", ["reading", range.reading])] contains {"name": "most", "number": range.max, "scale": 1, "place": decimals[range.place], "unit": range.unit} if some range in visit.class.ranges

decimals := {1: 0, 0.1: 1, 0.01: 2, 0.001: 3}

# unit_of: a unit as it is printed after a number; a count has none.
unit_of[code] := concat("", [" ", unit.symbol]) if {
	some code, unit in data.units
	unit.symbol != ""
}

unit_of[code] := "" if {
	some code, unit in data.units
	unit.symbol == ""
}

facts[subject] contains {"name": "reason", "text": reason} if {
	some subject, why in left_out
	some reason in why
}
