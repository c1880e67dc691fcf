# METADATA
# scope: package
# title: The charger is of the kind its class has
# description: |
#   Another charger than the class's has another current, fuse and cord, and the numbers it is judged by are not its
#   own.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: minor
#   basis: common practice
#   says: "The charger is {kind} and {protection}; this class of machine has one that is {asked}."
#   needs: "Kind and protection class of the charger are needed."
#   needs_state: "The charger could not be looked at: {reason}."
#   remedy: "Find out whether the charger was swapped; put the right one back, or have the class of the machine corrected."
#   who: lead
#   concession: lead
#   cautions:
#     - "Mains voltage kills: unplug before touching; leave repairs to an electrician."
#   since: visit/1
package condition.charger.kind_as_class

import data.shared.charger
import data.shared.visit

subjects contains "charger" if "charger" in visit.areas

spared contains "the charger is not in the scope of this visit" if "charger" in visit.out_of_scope

conforming contains "charger" if {
	"charger" in subjects
	input.visit.charger.kind == visit.class.charger.kind
	input.visit.charger.protection == visit.class.charger.protection
}

nonconforming contains "charger" if {
	"charger" in subjects
	input.visit.charger.kind != visit.class.charger.kind
}

nonconforming contains "charger" if {
	"charger" in subjects
	input.visit.charger.protection != visit.class.charger.protection
}

facts.charger contains {"name": "kind", "at": "/charger/kind"}

facts.charger contains {"name": "protection", "at": "/charger/protection"}

facts.charger contains {"name": "asked", "text": concat(" and ", [visit.class.charger.kind, visit.class.charger.protection])}

not_possible contains "charger" if count(why) > 0

why contains reason if {
	"charger" in subjects
	some reason in charger.unseen
}

facts.charger contains {"name": "reason", "text": reason} if some reason in why
