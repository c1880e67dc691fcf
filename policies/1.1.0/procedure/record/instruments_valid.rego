# METADATA
# scope: package
# title: Every instrument that was used held on the day
# description: |
#   What an instrument showed after its calibration ran out, or before it was calibrated, cannot be traced to anything. A
#   check against a reference holds a year; the machine's own display and the eye are not calibrated and need no day.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "Instruments that were used did not hold on {day}: {what}."
#   needs: "The day of calibration or check of every instrument that was used is needed."
#   remedy: Take the readings again with an instrument that holds, and have the expired one calibrated.
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package procedure.record.instruments_valid

import data.shared.instruments
import data.shared.readings
import data.shared.times
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nothing was attended" if visit.not_available

used contains i if {
	some i in input.visit.instruments
	i.id in readings.instruments_used
}

problems contains {"what": sprintf("the calibration of %s ended on %s", [i.id, i.next]), "id": i.id} if {
	some i in used
	i.kind == "calibrated"
	i.next < visit.day
}

problems contains {"what": sprintf("%s was not calibrated or checked before %s", [i.id, i.last]), "id": i.id} if {
	some i in used
	i.kind in {"calibrated", "checked"}
	i.last > visit.day
}

problems contains {"what": sprintf("%s was last checked on %s", [i.id, i.last]), "id": i.id} if {
	some i in used
	i.kind == "checked"
	times.days_between(i.last, visit.day) > data.limits.visit.check_holds.max
}

conforming contains "visit" if {
	visit.attended
	count(readings.instruments_used) > 0
	count(readings.instruments_used - instruments.valid.today) == 0
}

nonconforming contains "visit" if {
	visit.attended
	count(problems) > 0
}

facts[subject] contains {"name": "what", "text": p.what} if {
	some subject in subjects
	some p in problems
}

facts[subject] contains {"name": "day", "text": visit.day} if some subject in subjects

facts[subject] contains {"name": "at", "at": sprintf("/instruments/%d/id", [n])} if {
	some subject in subjects
	some p in problems
	some n, i in input.visit.instruments
	i.id == p.id
}
