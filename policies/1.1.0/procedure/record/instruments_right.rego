# METADATA
# scope: package
# title: Every reading was taken with an instrument of the right kind
# description: |
#   A gravity by eye or a torque by a wrench without a certificate is a guess with a number on it. Each quantity names the
#   least kind of instrument it needs: by eye, the machine's own display, checked against a reference, or calibrated.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "Readings rest on the wrong instruments: {what}."
#   needs: "The instruments and the readings are needed to tell whether the one serves the other."
#   remedy: Take the reading again with an instrument that serves, and record the instrument with it.
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package procedure.record.instruments_right

import data.shared.instruments
import data.shared.readings
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "nothing was attended" if visit.not_available

known contains i.id if some i in input.visit.instruments

# served: [instrument, quantity] of the readings; right: where the instrument is known, measures the quantity and is of
# the kind it needs, or better.
served contains [r.reading.instrument, r.quantity] if some r in readings.all

measures contains [i.id, m.quantity] if {
	some i in input.visit.instruments
	some m in i.measures
}

right contains [id, quantity] if {
	some [id, quantity] in (served & measures)
	id in instruments.kind_enough.today[quantity]
}

wrong contains {"pair": [id, quantity], "what": sprintf("%s is not among the instruments of the visit", [id])} if {
	some [id, quantity] in (served - right)
	not id in known
}

wrong contains {"pair": [id, quantity], "what": sprintf("%s is not said to measure %s", [id, replace(quantity, "ph", "pH")])} if {
	some [id, quantity] in ((served - right) - measures)
	id in known
}

wrong contains {"pair": [i.id, quantity], "what": sprintf("%s is %s, and %s needs %s at least", [i.id, words[i.kind], replace(quantity, "ph", "pH"), words[need]])} if {
	some [id, quantity] in ((served - right) & measures)
	some i in input.visit.instruments
	i.id == id
	need := data.limits.instruments[quantity].least_kind
}

words := {"by-eye": "the eye", "indicator": "a display of the machine", "checked": "a checked instrument", "calibrated": "a calibrated instrument"}

conforming contains "visit" if {
	visit.attended
	count(visit.requirement) > 0
	count(served) > 0
	count(served - right) == 0
}

nonconforming contains "visit" if {
	visit.attended
	count(served - right) > 0
}

facts[subject] contains {"name": "what", "text": w.what} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "at", "at": r.at} if {
	some subject in subjects
	some r in readings.all
	[r.reading.instrument, r.quantity] in (served - right)
}
