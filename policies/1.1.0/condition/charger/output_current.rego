# METADATA
# scope: package
# title: In its bulk stage the charger gives the current it is rated for
# description: |
#   Too little current leaves the battery short every night; too much heats it. Only the bulk stage shows it: after
#   that the current falls as it should.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "The charger gives {current}, {part} of its rated {rated}; allowed is {least} to {most}."
#   needs: "The output current in the bulk stage by a valid meter is needed; {least} to {most} of the rating is allowed."
#   needs_state: "The output current could not be judged: {reason}."
#   remedy: "Measure again early in a charge; a charger that stays outside goes to a specialist."
#   who: specialist
#   concession: lead
#   cautions:
#     - "Mains voltage kills: unplug before touching; leave repairs to an electrician."
#     - "A charging battery gives off gas that explodes: let air in, keep sparks and flames away."
#     - "Follow the battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.charger.output_current

import data.shared.charger
import data.shared.exact
import data.shared.instruments
import data.shared.reasons
import data.shared.tolerance
import data.shared.visit

spared contains "the charger is not in the scope of this visit" if "charger" in visit.out_of_scope

# The current of a charger stated to be past its bulk stage, off or not seen is spared; one of no stage is not.
subjects contains "charger" if {
	"charger" in visit.areas
	count(spared) == 0
}

spared contains "the charger was not in its bulk stage" if {
	"charger" in visit.areas
	input.visit.charger.stage in {"absorption", "finish", "off"}
}

spared contains "the charger's stage was not seen" if {
	"charger" in visit.areas
	input.visit.charger.stage == "not-seen"
}

current contains {"reading": input.visit.charger.output_current.as_left, "at": "/charger/output_current/as_left"}

current contains {"reading": input.visit.charger.output_current.as_found, "at": "/charger/output_current/as_found"} if not input.visit.charger.output_current.as_left

rated := exact.of(visit.class.charger.rated_current, data.units.A)

# part: the current as a percentage of the rating.
part contains exact.times(exact.times(exact.of(c.reading.value, data.units[c.reading.unit]), [rated[1], rated[0]]), [100, 1]) if {
	input.visit.charger.stage == "bulk"
	some c in current
	instruments.usable(c.reading, "current")
}

places contains tolerance.exactly(p, data.limits.charger.output_of_rating) if some p in part

conforming contains "charger" if {
	"charger" in subjects
	places == {"in"}
}

nonconforming contains "charger" if {
	"charger" in subjects
	count(places & {"low", "high"}) > 0
}

why contains reasons.state[input.visit.charger.output_current.not_obtained.reason] if {
	"charger" in subjects
	not input.visit.charger.output_current.as_left
}

facts.charger contains {"name": "current", "at": c.at} if some c in current

facts.charger contains {"name": "part", "number": p[0], "scale": p[1], "place": 3, "unit": "%"} if some p in part

facts.charger contains {"name": "rated", "number": rated[0], "scale": rated[1], "place": 0, "unit": "A"}

facts.charger contains {"name": "least", "limit": "charger.output_of_rating", "bound": "min"}

facts.charger contains {"name": "most", "limit": "charger.output_of_rating", "bound": "max"}

not_possible contains "charger" if count(why) > 0

why contains reason if {
	"charger" in subjects
	some reason in charger.unseen
}

facts.charger contains {"name": "reason", "text": reason} if some reason in why
