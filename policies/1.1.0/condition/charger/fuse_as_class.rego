# METADATA
# scope: package
# title: The fuse of the charger is of the rating its class asks for
# description: |
#   A larger fuse lets a fault burn before it blows; a smaller one blows in the night and leaves the battery uncharged.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "The charger has a fuse of {fuse}; its class asks for {rating}."
#   needs: "The rating of the fuse fitted is needed."
#   needs_state: "The fuse could not be looked at: {reason}."
#   remedy: "Unplug and fit a fuse of the right rating; find out why another was in it."
#   who: technician
#   concession: never
#   cautions:
#     - "Mains voltage kills: unplug before touching; leave repairs to an electrician."
#   since: visit/1
package condition.charger.fuse_as_class

import data.shared.charger
import data.shared.exact
import data.shared.visit

subjects contains "charger" if "charger" in visit.areas

spared contains "the charger is not in the scope of this visit" if "charger" in visit.out_of_scope

fitted := exact.of(input.visit.charger.fuse.value, data.units[input.visit.charger.fuse.unit])

asked := exact.of(visit.class.charger.fuse, data.units.A)

conforming contains "charger" if {
	"charger" in subjects
	exact.at_least(fitted, asked)
	exact.at_least(asked, fitted)
}

nonconforming contains "charger" if {
	"charger" in subjects
	exact.above(fitted, asked)
}

nonconforming contains "charger" if {
	"charger" in subjects
	exact.above(asked, fitted)
}

facts.charger contains {"name": "fuse", "at": "/charger/fuse"}

facts.charger contains {"name": "rating", "number": asked[0], "scale": asked[1], "place": 0, "unit": "A"}

not_possible contains "charger" if count(why) > 0

why contains reason if {
	"charger" in subjects
	some reason in charger.unseen
}

facts.charger contains {"name": "reason", "text": reason} if some reason in why
