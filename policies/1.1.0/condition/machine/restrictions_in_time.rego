# METADATA
# scope: package
# title: No restriction on the machine has run out unanswered
# description: |
#   A restriction lets a machine be used with a defect until a day. After that day the defect must be gone.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: critical
#   says: "The restriction {what} ran out on {until}, and what it stands for is still open."
#   needs: "It is not known which restrictions stand."
#   remedy: "Put right what the restriction stands for, or tag the machine."
#   who: lead
#   concession: never
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package condition.machine.restrictions_in_time

import data.shared.followup
import data.shared.visit

subjects contains "visit"

spared := set()

# lifted: everything the restriction is about was the subject of an item closed today.
closed_about contains about if {
	some item in input.earlier.open_items
	item.item in followup.closed
	some about in item.about
}

lifted contains r.id if {
	some r in input.earlier.restrictions
	count({about | some about in r.about} - closed_about) == 0
}

# renewed: everything it is about stands under a restriction of today that still holds.
held contains about if {
	some r in input.visit.restrictions
	r.until >= visit.day
	some about in r.about
}

renewed contains r.id if {
	some r in input.earlier.restrictions
	count({about | some about in r.about} - held) == 0
}

expired contains r.id if {
	some r in input.earlier.restrictions
	r.until < visit.day
}

run_out contains {"what": r.not_to_do, "until": r.until} if {
	some r in input.earlier.restrictions
	r.id in (expired - (lifted | renewed))
}

run_out contains {"what": r.not_to_do, "until": r.until} if {
	some r in input.visit.restrictions
	r.until < visit.day
}

# known: what stands from earlier visits is known.
known if input.visit.first_visit == true

known if count(input.earlier.last_visit) > 0

severity.visit := "minor" if {
	input.visit.first_visit == false
	count(input.earlier.last_visit) == 0
	count(run_out) == 0
}

conforming contains "visit" if {
	known
	count(run_out) == 0
}

nonconforming contains "visit" if count(run_out) > 0

facts.visit contains {"name": "what", "text": sprintf("(%s)", [r.what])} if some r in run_out

facts.visit contains {"name": "until", "text": r.until} if some r in run_out
