# METADATA
# scope: package
# title: Every terminal is left clean
# description: |
#   Corrosion on a terminal creeps under the joint, heats it under load and leads current across the top of the
#   battery. What was corroded is clean only if somebody cleaned it.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "{subject} was left with {left} corrosion."
#   needs: "{subject}: the corrosion found, whether it was cleaned, and the corrosion left are needed, and must agree."
#   needs_state: "{subject} could not be looked at: {reason}."
#   remedy: "Isolate, tighten the caps, neutralise, brush clean, rinse and dry; then torque."
#   who: technician
#   concession: lead
#   cautions:
#     - "Acid burns: eye, hand and body protection on, water at hand."
#     - "A tool across two posts short-circuits the battery: insulated tools, jewellery off."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.post_clean

import data.shared.battery
import data.shared.reasons
import data.shared.visit

subjects contains post if {
	"battery" in visit.areas
	some post in battery.posts
}

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

# left: the corrosion left, where it agrees with what was found and done: it goes by cleaning alone.
left[concat(" ", ["post", p.post])] contains p.corrosion_left if {
	some p in input.visit.battery.posts
	p.cleaned == true
}

left[concat(" ", ["post", p.post])] contains p.corrosion_left if {
	some p in input.visit.battery.posts
	p.corrosion == "none"
}

left[concat(" ", ["post", p.post])] contains p.corrosion_left if {
	some p in input.visit.battery.posts
	p.corrosion_left in {"light", "heavy"}
}

conforming contains post if {
	some post, {"none"} in left
	post in subjects
}

nonconforming contains post if {
	some post, how in left
	count(how & {"light", "heavy"}) > 0
	post in subjects
}

severity[post] := "minor" if {
	some post, {"light"} in left
	post in subjects
}

not_possible contains post if some post in not_reached

not_reached contains post if {
	visit.cut_off
	some post in (subjects - {concat(" ", ["post", p.post]) | some p in input.visit.battery.posts})
}

facts[concat(" ", ["post", p.post])] contains {"name": "left", "at": sprintf("/battery/posts/%d/corrosion_left", [i])} if some i, p in input.visit.battery.posts

facts[post] contains {"name": "reason", "text": reasons.ended} if some post in not_reached
