# METADATA
# scope: package
# title: Every meter of the machine was read
# description: |
#   Service intervals, duty and the use of a tagged machine are all counted in hours. A meter that shows nothing is a
#   defect of the machine, one that was not read is a gap in the record.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "{subject} shows no hours."
#   needs: "{subject}: its reading off the machine's display, or by another valid instrument, is needed."
#   needs_state: "{subject} was not read: {reason}."
#   remedy: Mend or replace the meter, and record the last reading of the old one and the first of the new one.
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Isolate the machine before its wiring is opened; its pack stays live with the key off."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package condition.meters.recorded

import data.shared.hours
import data.shared.instruments
import data.shared.visit

subjects contains concat(" ", ["meter", m]) if {
	"meters" in visit.areas
	some m in visit.class.meters
}

spared contains "the meters are not in the scope of this visit" if "meters" in visit.out_of_scope

# shown: meters with a usable reading, as left where there is one, else as found.
shown contains concat(" ", ["meter", m.meter]) if {
	some m in input.visit.meters
	instruments.usable(m.reading.as_left, "hours")
}

shown contains concat(" ", ["meter", m.meter]) if {
	some m in input.visit.meters
	not m.reading.as_left
	instruments.usable(m.reading.as_found, "hours")
}

conforming contains meter if some meter in (shown & subjects)

nonconforming contains meter if {
	some m in input.visit.meters
	m.reading.not_obtained.reason == "instrument-failed"
	not m.reading.as_left
	meter := concat(" ", ["meter", m.meter])
	meter in subjects
}

not_possible contains meter if {
	some meter, _ in hours.not_had
	meter in subjects
}

facts[meter] contains {"name": "reason", "text": reason} if {
	some meter, why in hours.not_had
	some reason in why
}
