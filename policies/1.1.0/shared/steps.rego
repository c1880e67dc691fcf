# METADATA
# title: Steps in the order of the record
# description: |
#   Only gates carry times; every other step is ordered by its place in the record. A step recorded twice has two
#   places, so what compares places is about sets.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.steps

import data.shared.visit

# place: where a step that was performed stands in the record, counted from 0.
place[s.step] contains i if {
	some i, s in input.visit.steps
	s.left in {"sound", "defective"}
}

# under_power: places in the record by the power that was on.
under_power := {power: places |
	some power in {"isolated", "key-off", "key-on", "charger-on"}
	places := {i | some i, s in input.visit.steps; s.power == power}
}

# recorded: steps that the record speaks of, performed or left undone with a reason.
recorded contains s.step if {
	some s in input.visit.steps
	s.left in {"sound", "defective"}
}

recorded contains s.step if {
	some s in input.visit.steps
	s.skipped.reason in {"not-charged", "no-access", "no-part", "customer-declined", "unsafe", "not-reached", "no-time", "not-stated"}
}

# not_reached: required steps that a visit was cut off before, as the record says or as it is silent about them. Never
# a proof that something was done right.
not_reached contains s.step if {
	visit.cut_off
	some s in input.visit.steps
	s.skipped.reason == "not-reached"
}

not_reached contains s if {
	visit.cut_off
	some s in (visit.required_steps - recorded)
}

# stop_devices: what must be proven to stop the machine before anything of it moves.
stop_devices := {"emergency-stop", "hold-to-run", "seat-switch", "brake"}

# movements: function steps that move the machine or a part of it. Horn and lights move nothing.
movements := ({s | some s, row in data.steps; row.area == "function"} - stop_devices) - {"horn", "lights"}

# first_movement: place of the first step that moved something; undefined where none did.
first_movement := min({i |
	some s, places in place
	s in movements
	some i in places
})

# why: the reasons a step was left undone for, in words.
why := {
	"not-charged": "the battery was not charged",
	"no-access": "there was no access",
	"no-part": "a part was missing",
	"customer-declined": "the customer declined it",
	"unsafe": "it was not safe",
	"not-reached": "it was not reached",
	"no-time": "there was no time",
	"not-stated": "no reason is stated",
}
