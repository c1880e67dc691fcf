# METADATA
# scope: package
# title: What could not be judged is followed up
# description: |
#   A reading that was too close to its limit, or could not be had, leaves a question; somebody must come back for
#   the answer.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "No follow-up names {open}; this could not be judged: {rule}."
#   needs: "Nothing was judged of this: {rule}."
#   remedy: "Raise a follow-up that names the subject, or the battery or the visit for all of it, with the day of the next attendance."
#   who: technician
#   concession: never
#   since: visit/1
package procedure.closing.unjudged_followed_up

import data.shared.closing
import data.shared.followup

import data.shared.visit

subjects contains concat(" ", ["rule", name]) if {
	some name, _ in closing.rules
	visit.attended
}

spared contains "the machine could not be attended; the service is still due" if visit.not_available

severity[concat(" ", ["rule", name])] := weights[severity] if some name, severity in closing.rules

weights := {"critical": "major", "major": "major", "minor": "minor"}

# covered: undecided subjects that a follow-up is about: by name, as part of the battery, or with the whole visit.
covered[name] contains s if {
	some name, found in closing.undecided
	some s in (found & followup.followed_up)
}

covered[name] contains s if {
	"visit" in followup.followed_up
	some name, found in closing.undecided
	some s in found
}

covered[name] contains s if {
	"battery" in followup.followed_up
	some name, found in closing.undecided
	startswith(name, "condition.battery.")
	some s in found
}

covered[name] contains s if {
	"battery" in followup.followed_up
	some name, found in closing.undecided
	some s in found
	startswith(s, "step ")
	data.steps[substring(s, 5, -1)].area == "battery"
}

left_open[name] contains s if {
	some name, found in closing.undecided
	some s in ((found - object.get(covered, name, set())) - object.get(closing.slight, name, set()))
}

conforming contains concat(" ", ["rule", name]) if {
	visit.attended
	some name in closing.asked
	closing.rules[name]
	count(object.get(left_open, name, set())) == 0
}

nonconforming contains concat(" ", ["rule", name]) if {
	visit.attended
	some name, _ in left_open
}

facts[concat(" ", ["rule", name])] contains {"name": "rule", "text": data.catalogue.rules[name].title} if some name, _ in closing.rules

facts[concat(" ", ["rule", name])] contains {"name": "open", "text": closing.named(subject)} if {
	some name, found in left_open
	some subject in found
}
