# METADATA
# scope: package
# title: While charging, the caps are in and the cover is open, or somebody is told that they were not
# description: |
#   Vent caps keep acid in while a cell gasses, and an open cover lets the gas out. Where the charge before the visit was
#   the site's own and this was not so, the technician tells the site or follows it up.
# related_resources:
#   - ref: urn:text:29-CFR-1926.441-b-3
#     description: vent caps in place and working while charging (construction)
#   - ref: urn:text:29-CFR-1917.157
#     description: caps in place on charge (marine terminals)
#   - ref: urn:text:29-CFR-1910.178-g
#     description: vent caps working and covers open while charging (powered industrial trucks), seen as quoted in state rules
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   says: "{what}, and nobody was told."
#   needs: Whether there was a charge, and whether its caps were in and the cover open, is needed.
#   needs_state: The visit was cut off before anything was seen of the charge.
#   remedy: Put the caps in and open the cover before a charge; tell the site where its charge was otherwise.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - A charging battery gives off hydrogen and sprays acid; follow the battery's and charger's manuals and local codes, and leave it to a qualified person if in doubt.
package procedure.safety.charge_left_covered

import data.shared.followup
import data.shared.steps
import data.shared.visit

subjects contains "charger" if {
	visit.attended
	visit.flooded
}

spared contains "nobody attended the machine" if visit.not_available

spared contains "a sealed pack has no caps" if {
	visit.attended
	visit.sealed
}

spared contains "the battery is not in the scope of this visit" if {
	visit.attended
	"battery" in visit.out_of_scope
}

# charged: there was a charge, ended or still running.
charged if input.visit.battery.charge.state in {"ended", "running"}

wrong contains {"what": "the vent caps were not in while charging", "at": "/battery/charge/caps_in"} if {
	charged
	input.visit.battery.charge.caps_in == false
}

wrong contains {"what": "the cover was not open while charging", "at": "/battery/charge/cover_open"} if {
	charged
	input.visit.battery.charge.cover_open == false
}

# told: the site was told, or it is followed up. A charge that still runs is set right, not told of.
told if {
	input.visit.battery.charge.state == "ended"
	count((followup.told_about | followup.followed_up) & {"charger", "battery"}) > 0
}

conforming contains "charger" if {
	"charger" in subjects
	input.visit.battery.charge.state == "none"
}

conforming contains "charger" if {
	"charger" in subjects
	charged
	input.visit.battery.charge.caps_in == true
	input.visit.battery.charge.cover_open == true
}

conforming contains "charger" if {
	"charger" in subjects
	count(wrong) > 0
	told
}

nonconforming contains "charger" if {
	"charger" in subjects
	count(wrong) > 0
	input.visit.battery.charge.state == "running"
}

nonconforming contains "charger" if {
	"charger" in subjects
	count(wrong) > 0
	input.visit.battery.charge.state == "ended"
	count((followup.told_about | followup.followed_up) & {"charger", "battery"}) == 0
}

not_possible contains "charger" if {
	"charger" in subjects
	"lid-open" in steps.not_reached
	not input.visit.battery
}

facts[subject] contains {"name": "what", "text": w.what} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "at", "at": w.at} if {
	some subject in subjects
	some w in wrong
}
