# METADATA
# scope: package
# title: The machine was not on for longer than the days allow
# description: |
#   A meter cannot count more hours than have passed. From the start of the earlier visit to the end of this one is the
#   longest time there can be between the two readings; a display step is allowed for each difference of two readings.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "The power-on meter counts {run} since last time, but only {passed} have passed."
#   needs: "The power-on meter's reading today and last time is needed."
#   needs_state: "The hours of the power-on meter could not be judged: {reason}."
#   remedy: Read the display again, with its decimal point, and check the serial of the machine.
#   who: technician
#   concession: lead
#   since: visit/1
package condition.meters.within_calendar

import data.shared.exact
import data.shared.hours
import data.shared.times
import data.shared.visit

subjects contains "meter power-on" if {
	"meters" in visit.areas
	"power-on" in visit.class.meters
	count(spared) == 0
}

spared contains reason if some reason in (out_of_scope | without)

out_of_scope := {"the meters are not in the scope of this visit" | "meters" in visit.out_of_scope}

without := {"the class has no power-on meter" | some _ in visit.class.meters; count({m | some m in visit.class.meters} & {"power-on"}) == 0}

spared contains "this is the first visit to the machine" if {
	"meters" in visit.areas
	count(input.earlier.meters) == 0
	input.visit.first_visit == true
}

# passed: the longest time between the readings, in seconds.
passed contains [times.ended - times.at(then.started), 1000000000] if some then in input.earlier.meters

within contains exact.at_least(exact.add(time, hours.slack["power-on"]), run) if {
	some time in passed
	some run in hours.since["power-on"]
}

conforming contains subject if {
	some subject in subjects
	within == {true}
}

nonconforming contains subject if {
	some subject in subjects
	false in within
}

not_possible contains subject if {
	some subject in subjects
	hours.not_had[subject]
}

# Nothing to compare with is a question, not a fault.
severity[subject] := "minor" if {
	some subject in subjects
	count(object.keys(hours.before) & {"power-on"}) == 0
}

facts[subject] contains {"name": "run", "number": run[0], "scale": run[1] * 3600, "place": 1, "unit": "h"} if {
	some subject in subjects
	some run in hours.since["power-on"]
}

facts[subject] contains {"name": "passed", "number": time[0], "scale": time[1] * 3600, "place": 1, "unit": "h"} if {
	some subject in subjects
	some time in passed
}

facts[subject] contains {"name": "at", "at": pointer} if {
	some subject in subjects
	some pointer in hours.at["power-on"]
}

facts[subject] contains {"name": "reason", "text": reason} if {
	some subject in subjects
	some reason in hours.not_had[subject]
}
