# METADATA
# scope: package
# title: Water goes in after the charge has ended; before it, bare plates are just covered and no more
# description: |
#   Electrolyte rises while it is charged; water added before runs over with acid in it. Traction practice is to water
#   after the charge, where the Navy texts NAVEDTRA 14113 and 14344 and other general texts water before it. Bare plates
#   are the exception: they are covered by at most 1/8 in, charged, and levelled at a second attendance.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "{what}."
#   needs: Whether water was added is needed; where it was, when and by what the charge had ended before it, or the level of each cell where bare plates were covered first.
#   needs_state: The visit was cut off before the cells were watered.
#   remedy: Charge first, then level. Bare plates are just covered, charged, and levelled at a second attendance within two weeks.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - Electrolyte that runs over is acid; never draw it off by mouth, follow the battery's manual and local codes, and leave it to a qualified person if in doubt.
package procedure.safety.charged_before_water

import data.shared.battery
import data.shared.steps
import data.shared.times
import data.shared.visit
import data.shared.water

subjects contains "visit" if {
	visit.attended
	visit.class.battery.type == "flooded"
}

spared contains "nobody attended the machine" if visit.not_available

spared contains "a sealed pack takes no water" if {
	visit.attended
	visit.class.battery.type == "sealed"
}

# after_charge: the end of a charge, shown by anything from the display to the site's word, lies before the water.
after_charge if {
	input.visit.battery.charge.state == "ended"
	input.visit.battery.charge.end_shown_by in {"charger-display", "charger-log", "steady-gravity", "watched", "site-word"}
	times.charge_ended <= times.watered
}

before_charge if {
	input.visit.battery.watering.done == true
	input.visit.battery.charge.state in {"running", "none", "unknown"}
}

before_charge if times.charge_ended > times.watered

# to_cover: the record says that water went in before the charge because plates were bare.
to_cover if {
	before_charge
	input.visit.battery.watering.why_before_charge == "plates-bare"
}

# as_it_may: cells that were bare and are just covered, and cells that were covered and stayed as they were.
as_it_may := (water.bare & water.just_covered) | (water.covered & water.stayed)

second_attendance contains f.item if {
	some f in input.visit.follow_ups
	count({about | some about in f.about} & ({"battery"} | battery.cells)) > 0
	times.days_between(visit.day, f.due) >= 0
	times.days_between(visit.day, f.due) <= data.limits.visit.second_attendance.max
}

wrong contains "water went in before the charge had ended" if {
	before_charge
	count(reasons) == 0
}

reasons contains input.visit.battery.watering.why_before_charge

wrong contains concat(" ", [cell, "was bare and was filled above what just covers it"]) if {
	to_cover
	some cell in (water.bare & water.too_full)
}

wrong contains concat(" ", [cell, "was not bare and was given water before the charge"]) if {
	to_cover
	some cell in (water.covered & water.rose)
}

wrong contains sprintf("no second attendance within %v days is set", [data.limits.visit.second_attendance.max]) if {
	to_cover
	count(second_attendance) == 0
}

conforming contains "visit" if {
	"visit" in subjects
	count(wrong) == 0
	input.visit.battery.watering.done == false
}

conforming contains "visit" if {
	"visit" in subjects
	count(wrong) == 0
	input.visit.place.lid.opened == false
}

conforming contains "visit" if {
	"visit" in subjects
	after_charge
}

conforming contains "visit" if {
	"visit" in subjects
	to_cover
	count(wrong) == 0
	count(water.bare) > 0
	count(battery.cells - as_it_may) == 0
}

nonconforming contains "visit" if {
	"visit" in subjects
	count(wrong) > 0
}

not_possible contains "visit" if {
	"visit" in subjects
	"battery-water" in steps.not_reached
	not input.visit.battery
	not input.visit.place.lid
}

facts[subject] contains {"name": "what", "text": text} if {
	some subject in subjects
	some text in wrong
}

facts[subject] contains {"name": "at", "at": "/battery/watering/at"} if {
	some subject in subjects
	count(wrong) > 0
}
