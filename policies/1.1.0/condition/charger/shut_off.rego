# METADATA
# scope: package
# title: The charger is proven to end its charge by itself
# description: |
#   A charger that does not shut off boils the battery dry. Its end cannot be watched within an hour, so the display,
#   the log or the end of the last charge must show it; the site's word does not.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   says: "The charger does not end its charge by itself, as its {shown} shows."
#   needs: "A proof that the charger ends its charge is needed: its display, its log, or the end of the last charge seen on either or watched."
#   needs_state: "The shut-off could not be looked at: {reason}."
#   remedy: "Take the charger out of use or have it watched to the end of each charge, until it is repaired or replaced."
#   who: specialist
#   concession: never
#   cautions:
#     - "Mains voltage kills: unplug before touching; leave repairs to an electrician."
#     - "A charging battery gives off gas that explodes: let air in, keep sparks and flames away."
#     - "Follow the battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.charger.shut_off

import data.shared.charger
import data.shared.reasons
import data.shared.visit

subjects contains "charger" if "charger" in visit.areas

spared contains "the charger is not in the scope of this visit" if "charger" in visit.out_of_scope

# shown: something that shows how a charge ends. The last charge shows it only if its own end was seen on something better
# than the site's word.
shown if input.visit.charger.shut_off.shown_by in {"display", "log"}

shown if {
	input.visit.charger.shut_off.shown_by == "last-charge"
	input.visit.battery.charge.state == "ended"
	input.visit.battery.charge.end_shown_by in {"charger-display", "charger-log", "watched"}
}

conforming contains "charger" if {
	"charger" in subjects
	input.visit.charger.shut_off.proven == true
	shown
}

# A fault is taken at the word of any of the three.
nonconforming contains "charger" if {
	"charger" in subjects
	input.visit.charger.shut_off.proven == false
	input.visit.charger.shut_off.shown_by in {"display", "log", "last-charge"}
}

facts.charger contains {"name": "shown", "at": "/charger/shut_off/shown_by"}

not_possible contains "charger" if count(why) > 0

# A site that had not charged leaves no end of a charge to see; a charger with neither display nor log shows it no other way.
why contains reasons.state["not-charged"] if {
	"charger" in subjects
	input.visit.charger.shut_off.shown_by == "none"
	input.visit.battery.charge.state in {"none", "running"}
}

why contains reason if {
	"charger" in subjects
	some reason in charger.unseen
}

facts.charger contains {"name": "reason", "text": reason} if some reason in why
