# METADATA
# scope: package
# title: A battery that was not charged gets a second attendance within two weeks, and the customer is told
# description: |
#   A battery that was not charged cannot be judged or watered. Somebody must come back, and the site must charge it
#   before.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "The battery was not charged, and {what}."
#   needs: "It is not stated whether the battery was charged."
#   remedy: "Raise a follow-up about the battery due within 14 days, and tell the customer to charge before it."
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Charging gives off hydrogen: caps in, cover open, room aired, no spark or flame."
#     - "Follow the battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package procedure.closing.second_attendance

import data.shared.followup
import data.shared.times
import data.shared.visit

subjects contains "visit" if {
	visit.flooded
	visit.attended
}

spared contains "no flooded battery is in the scope of this visit" if "battery" in visit.out_of_scope

spared contains "the pack is sealed" if visit.sealed

spared contains "the machine could not be attended" if visit.not_available

in_time contains f.item if {
	some f in input.visit.follow_ups
	"battery" in f.about
	times.days_between(visit.day, f.due) <= data.limits.visit.second_attendance.max
}

not_charged if input.visit.battery.charge.state in {"none", "running", "unknown"}

conforming contains "visit" if {
	"visit" in subjects
	input.visit.battery.charge.state == "ended"
}

conforming contains "visit" if {
	"visit" in subjects
	not_charged
	count(in_time) > 0
	"battery" in followup.told_about
}

nonconforming contains "visit" if {
	"visit" in subjects
	not_charged
	count(in_time) == 0
}

nonconforming contains "visit" if {
	"visit" in subjects
	not_charged
	count(followup.told_about & {"battery"}) == 0
}

facts.visit contains {"name": "what", "text": sprintf("no follow-up about it is due within %v days", [data.limits.visit.second_attendance.max])} if count(in_time) == 0

facts.visit contains {"name": "what", "text": "nobody was told about the battery"} if count(followup.told_about & {"battery"}) == 0
