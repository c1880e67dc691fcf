# METADATA
# scope: package
# title: Every terminal is left covered
# description: |
#   A bare terminal is one dropped tool away from a short circuit that welds, and sparks beside a battery light its
#   gas.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "{subject} was left without its cover."
#   needs: "{subject}: whether its cover is fitted is needed."
#   needs_state: "{subject} could not be looked at: {reason}."
#   remedy: "Fit the insulating cover; keep the lid shut until it is there."
#   who: technician
#   concession: lead
#   cautions:
#     - "A tool across two posts short-circuits the battery: insulated tools, jewellery off."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.post_covered

import data.shared.battery
import data.shared.reasons
import data.shared.visit

subjects contains post if {
	"battery" in visit.areas
	some post in battery.posts
}

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

cover[concat(" ", ["post", p.post])] contains p.cover if some p in input.visit.battery.posts

conforming contains post if {
	some post, {"fitted"} in cover
	post in subjects
}

nonconforming contains post if {
	some post, how in cover
	"missing" in how
	post in subjects
}

not_possible contains post if some post in not_reached

not_reached contains post if {
	visit.cut_off
	some post in (subjects - object.keys(cover))
}

facts[post] contains {"name": "reason", "text": reasons.ended} if some post in not_reached
