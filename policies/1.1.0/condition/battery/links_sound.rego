# METADATA
# scope: package
# title: Every link is sound, insulation and ends
# description: |
#   A link carries the whole current of the pack. Marks of heat show a joint that has already burned; bare conductor is
#   a short circuit waiting; a loose or corroded end heats next.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "{subject} was left with its insulation {insulation} and its ends {ends}."
#   needs: "{subject}: the state of its insulation and of its ends is needed."
#   needs_state: "{subject} could not be looked at: {reason}."
#   remedy: "Isolate; replace a link that is heat-marked or bare; clean and torque its ends. Do not run on a heat-marked link."
#   who: technician
#   concession: never
#   cautions:
#     - "A tool across two posts short-circuits the battery: insulated tools, jewellery off."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.links_sound

import data.shared.battery
import data.shared.reasons
import data.shared.visit

subjects contains link if {
	"battery" in visit.areas
	some link in battery.links
}

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

insulation[concat(" ", ["link", l.link])] contains l.insulation if some l in input.visit.battery.links

ends[concat(" ", ["link", l.link])] contains l.ends if some l in input.visit.battery.links

whole contains link if some link, {"sound"} in insulation

tight contains link if some link, {"sound"} in ends

bare contains link if {
	some link, states in insulation
	"damaged" in states
}

poor contains link if {
	some link, states in ends
	count(states & {"corroded", "loose", "heat-marked"}) > 0
}

burnt contains link if {
	some link, states in ends
	"heat-marked" in states
}

conforming contains link if some link in ((whole & tight) & subjects)

nonconforming contains link if some link in ((bare | poor) & subjects)

# Heat marks are the gravest; corroded ends alone the least.
severity[link] := "critical" if some link in (burnt & subjects)

severity[link] := "minor" if {
	some link, {"corroded"} in ends
	link in (whole & subjects)
}

not_possible contains link if some link in not_reached

not_reached contains link if {
	visit.cut_off
	some link in (subjects - object.keys(ends))
}

facts[concat(" ", ["link", l.link])] contains {"name": "insulation", "at": sprintf("/battery/links/%d/insulation", [i])} if some i, l in input.visit.battery.links

facts[concat(" ", ["link", l.link])] contains {"name": "ends", "at": sprintf("/battery/links/%d/ends", [i])} if some i, l in input.visit.battery.links

facts[link] contains {"name": "reason", "text": reasons.ended} if some link in not_reached
