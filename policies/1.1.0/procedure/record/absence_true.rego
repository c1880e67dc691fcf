# METADATA
# scope: package
# title: Nothing is recorded as done on a machine that was not available
# description: |
#   A machine that was locked away, in use or moved was not worked on. A record that says both is the record of a visit
#   that should be judged as one.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "The machine is said not to have been available, and yet the record has {done}."
#   needs: "The steps, readings and isolations are missing from the record, so it is not known that nothing was done."
#   remedy: Say how the visit ended, and record what was done as a visit that was attended.
#   who: technician
#   concession: never
#   since: visit/1
package procedure.record.absence_true

import data.shared.readings
import data.shared.visit

subjects contains "visit" if visit.not_available

spared contains "the machine was attended" if visit.attended

# The plate may be read to see that it is the wrong machine.
worked := visit.performed - {"machine-identity"}

done contains sprintf("%d %s done", [count(worked), object.get({1: "step"}, count(worked), "steps")]) if count(worked) > 0

done contains sprintf("%d %s", [count(readings.all), object.get({1: "reading"}, count(readings.all), "readings")]) if count(readings.all) > 0

done contains "an isolation of the machine" if count(input.visit.isolations) > 0

conforming contains "visit" if {
	visit.not_available
	count(worked) == 0
	count(readings.all) == 0
	count(input.visit.isolations) == 0
	is_array(input.visit.steps)
}

nonconforming contains "visit" if {
	visit.not_available
	count(done) > 0
}

facts[subject] contains {"name": "done", "text": d} if {
	some subject in subjects
	some d in done
}

facts[subject] contains {"name": "at", "at": "/ended_as"} if some subject in subjects
