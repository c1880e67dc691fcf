# METADATA
# scope: package
# title: Every defect is corrected, or followed up with an owner and a day
# description: |
#   A defect that nobody answers for stays until somebody is hurt or the machine stands still. A correction that was
#   only started counts with a follow-up.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "No follow-up names {open}; this was found not to hold: {rule}."
#   needs: "This is not proven of {unproven}: {rule}."
#   remedy: "Correct it and measure again, or raise a follow-up that names the subject, an owner and a due day."
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - "Moving parts, acid, gas and mains can hurt: isolate the machine and try it dead before a hand goes in, and keep people clear when it is tried."
#     - "Follow the machine's, battery's and charger's manuals and local rules; leave it to a qualified person if in doubt."
package procedure.closing.defects_followed_up

import data.shared.closing

subjects contains concat(" ", ["rule", name]) if some name, _ in closing.rules

spared := set()

# A rule weighs what its gravest unanswered finding weighs; where there is none, what its metadata says.
severity[concat(" ", ["rule", name])] := severity if some name, severity in object.union(closing.rules, closing.gravest)

conforming contains concat(" ", ["rule", name]) if {
	some name in closing.asked
	closing.rules[name]
	count(object.get(closing.unanswered, name, set())) == 0
	count(object.get(closing.unproven, name, set())) == 0
}

nonconforming contains concat(" ", ["rule", name]) if {
	some name, _ in closing.unanswered
}

facts[concat(" ", ["rule", name])] contains {"name": "rule", "text": data.catalogue.rules[name].title} if some name, _ in closing.rules

facts[concat(" ", ["rule", name])] contains {"name": "open", "text": closing.named(subject)} if {
	some name, found in closing.unanswered
	some subject in found
}

facts[concat(" ", ["rule", name])] contains {"name": "unproven", "text": closing.named(subject)} if {
	some name, found in closing.unproven
	some subject in found
}
