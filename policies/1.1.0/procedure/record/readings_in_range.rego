# METADATA
# scope: package
# title: Every reading lies in the range of its instrument
# description: |
#   Past the end of its scale an instrument shows something, but it was not calibrated there. Such a reading is mostly a
#   slip of the pen or the wrong unit.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "Out of the range of its instrument: {what}, at {reading}."
#   needs: "The readings and their instruments are needed to tell whether the one lies in the range of the other."
#   remedy: Read again, with an instrument whose range holds the value.
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package procedure.record.readings_in_range

import data.shared.exact
import data.shared.instruments
import data.shared.readings
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nothing was attended" if visit.not_available

known contains i.id if some i in input.visit.instruments

inside contains r if {
	some r in readings.all
	r.reading.instrument in known
	instruments.in_range("today", r.reading, r.quantity)
}

outside contains r if {
	some r in readings.all
	some span in instruments.ranged.today[r.quantity][r.reading.instrument]
	exact.above(span.low, exact.of(r.reading.value, data.units[r.reading.unit]))
}

outside contains r if {
	some r in readings.all
	some span in instruments.ranged.today[r.quantity][r.reading.instrument]
	exact.above(exact.of(r.reading.value, data.units[r.reading.unit]), span.high)
}

conforming contains "visit" if {
	visit.attended
	count(readings.all) > 0
	count(readings.all - inside) == 0
}

nonconforming contains "visit" if {
	visit.attended
	count(outside) > 0
}

facts[subject] contains {"name": "what", "text": sprintf("the %s of %s by %s", [r.quantity, r.of, r.reading.instrument])} if {
	some subject in subjects
	some r in outside
}

facts[subject] contains {"name": "reading", "at": r.at} if {
	some subject in subjects
	some r in outside
}
