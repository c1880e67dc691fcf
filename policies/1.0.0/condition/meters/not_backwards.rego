# METADATA
# scope: package
# title: No meter ran backwards
# description: |
#   An hour meter only ever counts up. One that shows less than last time was misread, replaced without a note, or belongs
#   to another machine. A replaced meter, a new controller and a rollover are changes, recorded with a reference; every
#   stretch between them must run onwards, give or take one display step.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "{subject} shows {now}, {before} last time, {changes}: it ran backwards by more than {step}."
#   needs: "{subject}: its reading today and last time, and the reference of every change of it since, are needed."
#   needs_state: "{subject} could not be compared with last time: {reason}."
#   remedy: Read the display again and check the serial of the machine; if the meter was changed, find the note of it and record the change.
#   who: technician
#   concession: lead
#   since: visit/1
package condition.meters.not_backwards

import data.shared.hours
import data.shared.visit

subjects contains concat(" ", ["meter", m]) if {
	"meters" in visit.areas
	count(spared) == 0
	some m in visit.class.meters
}

spared contains "the meters are not in the scope of this visit" if "meters" in visit.out_of_scope

spared contains "this is the first visit to the machine" if {
	"meters" in visit.areas
	count(input.earlier.meters) == 0
	input.visit.first_visit == true
}

# referenced: meters of which every change stated today has a reference.
referenced contains meter if {
	some meter in visit.class.meters
	every c in [c | some c in input.visit.meter_changes; c.meter == meter] {
		c.reference != ""
	}
}

conforming contains subject if {
	some meter in (hours.onwards & referenced)
	subject := concat(" ", ["meter", meter])
	subject in subjects
}

nonconforming contains subject if {
	some meter in hours.backwards
	subject := concat(" ", ["meter", meter])
	subject in subjects
}

not_possible contains subject if {
	some subject, _ in hours.not_had
	subject in subjects
}

# Nothing to compare with is a question, not a fault.
severity[subject] := "minor" if {
	some meter in ({m | some m in visit.class.meters} - object.keys(hours.before))
	subject := concat(" ", ["meter", meter])
	subject in subjects
}

facts[concat(" ", ["meter", meter])] contains {"name": "now", "at": pointer} if {
	some meter, pointers in hours.at
	some pointer in pointers
}

facts[concat(" ", ["meter", m.meter])] contains {"name": "before", "earlier": "meters", "at": sprintf("/meters/%d/reading/as_left", [i])} if {
	some then in input.earlier.meters
	some i, m in then.meters
	m.reading.as_left.value >= 0
}

facts[concat(" ", ["meter", m.meter])] contains {"name": "before", "earlier": "meters", "at": sprintf("/meters/%d/reading/as_found", [i])} if {
	some then in input.earlier.meters
	some i, m in then.meters
	not m.reading.as_left
}

facts[concat(" ", ["meter", meter])] contains {"name": "changes", "text": text} if {
	some meter in visit.class.meters
	text := {false: "with no change of it recorded today", true: "with the changes recorded"}[meter in {c.meter | some c in input.visit.meter_changes}]
}

facts[subject] contains {"name": "step", "limit": "meters.display_step", "bound": "max"} if some subject in subjects

facts[subject] contains {"name": "reason", "text": reason} if {
	some subject, why in hours.not_had
	some reason in why
}
