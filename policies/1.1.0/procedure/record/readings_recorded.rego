# METADATA
# scope: package
# title: Every number the class is judged by stands in the record
# description: |
#   A step that is ticked without its number was looked at, perhaps, and not measured. A number that could not be had is
#   stated as such, with the reason.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "{subject} ({title}) stands nowhere in the record, though its step was done."
#   needs: "{subject}[ ({title})]: whether it was measured cannot be told, since the record is silent about its step, or the class, kind or level of the visit is not known."
#   needs_state: "{subject} ({title}) was not reached: the visit ended before its round was through."
#   remedy: Measure it, or record why it could not be had; never fill it in from memory.
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package procedure.record.readings_recorded

import data.shared.checklist
import data.shared.visit

# asked: the numbers of the class whose step this visit requires, by the name they are judged under. There is always one:
# every kind of visit ends with the stop devices, and how far the brake takes is a number.
asked[concat(" ", ["reading", range.reading])] := range if {
	some range in visit.class.ranges
	range.step in visit.required_steps
}

subjects contains subject if {
	visit.attended
	some subject, _ in asked
}

spared contains "nothing was attended" if visit.not_available

# told: numbers that the record has, or says why it has not.
told := {r.reading |
	some s in input.visit.steps
	some r in s.readings
}

# untold: numbers asked for that the record is silent about.
untold[subject] := range if {
	some subject, range in asked
	count({range.reading} - told) == 1
}

conforming contains subject if {
	visit.attended
	some subject, range in asked
	range.reading in told
}

conforming contains subject if {
	visit.attended
	some subject, range in untold
	range.step in checklist.undone
}

nonconforming contains subject if {
	visit.attended
	some subject, range in untold
	range.step in visit.performed
}

not_possible contains subject if {
	visit.attended
	visit.cut_off
	some subject, range in untold
	range.step in checklist.missing
}

facts[subject] contains {"name": "title", "text": range.title} if some subject, range in asked
