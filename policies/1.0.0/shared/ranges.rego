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
import data.shared.tolerance
import data.shared.visit

# wanted: the ranges of a group whose step this visit requires.
wanted[range.group] contains subject if {
	some range in visit.class.ranges
	range.step in visit.required_steps
	subject := concat(" ", ["reading", range.reading])
}

severity[concat(" ", ["reading", range.reading])] := range.severity if some range in visit.class.ranges

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

# place: where the usable readings of a subject stand to its range.
place[concat(" ", ["reading", range.reading])] contains tolerance.exactly(q, range) if {
	some range in visit.class.ranges
	some t in taken[range.reading]
	data.units[t.reading.unit].quantity == data.units[range.unit].quantity
	instruments.usable(t.reading, data.units[range.unit].quantity)
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

# left_out: not measured for a reason that stands in the record: the step was skipped, the reading could not be had, or
# the visit ended before it.
left_out[concat(" ", ["reading", range.reading])] contains reason if {
	some range in visit.class.ranges
	some reason in visit.skipped_for[range.step]
	reason != "not-stated"
}

left_out[concat(" ", ["reading", r.reading])] contains r.not_obtained.reason if {
	some s in input.visit.steps
	some r in s.readings
	r.not_obtained.reason in {"corroded", "not-charged", "not-reached", "hot", "cold", "frozen", "stage-not-seen", "not-rested"}
	not r.as_left
}

left_out[concat(" ", ["reading", range.reading])] contains "the visit ended before it" if {
	visit.cut_off
	some range in visit.class.ranges
	count(object.get(taken, range.reading, set())) == 0
}

facts[concat(" ", ["reading", range.reading])] contains {"name": "reading", "at": t.at} if {
	some range in visit.class.ranges
	some t in taken[range.reading]
}

facts[concat(" ", ["reading", range.reading])] contains {"name": "what", "text": range.title} if some range in visit.class.ranges

facts[concat(" ", ["reading", range.reading])] contains {"name": "least", "number": exact.number(range.min)[0], "scale": 1000000000, "place": 1, "unit": range.unit} if some range in visit.class.ranges

facts[concat(" ", ["reading", range.reading])] contains {"name": "most", "number": exact.number(range.max)[0], "scale": 1000000000, "place": 1, "unit": range.unit} if some range in visit.class.ranges

facts[concat(" ", ["reading", range.reading])] contains {"name": "allowed", "text": sprintf("from %v to %v", [range.min, range.max])} if some range in visit.class.ranges

facts[concat(" ", ["reading", range.reading])] contains {"name": "allowed", "text": sprintf("at least %v", [range.min])} if {
	some range in visit.class.ranges
	not range.max
}

facts[concat(" ", ["reading", range.reading])] contains {"name": "allowed", "text": sprintf("at most %v", [range.max])} if {
	some range in visit.class.ranges
	not range.min
}

facts[subject] contains {"name": "reason", "text": reason} if {
	some subject, reasons in left_out
	some reason in reasons
}
