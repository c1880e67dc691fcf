# METADATA
# scope: package
# title: Every tag of earlier visits has an answer
# description: |
#   A tag that a visit passes over may be taken off by anybody.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: critical
#   says: "{subject} of visit {from} has no answer."
#   needs: "It is not known which tags hang."
#   remedy: "Release it with evidence, or keep it."
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - "Nobody but a qualified person releases a tag."
package procedure.closing.tags_answered

import data.shared.visit

subjects contains concat(" ", ["tag", tag.tag]) if {
	visit.attended
	some tag in input.earlier.tags
}

spared contains "no tag hangs on the machine" if count(input.earlier.tags) == 0

spared contains "the machine could not be attended" if visit.not_available

answered contains concat(" ", ["tag", a.tag]) if some a in input.visit.tags_answered

conforming contains subject if some subject in (subjects & answered)

nonconforming contains subject if some subject in (subjects - answered)

facts[concat(" ", ["tag", tag.tag])] contains {"name": "from", "text": tag.placed_in} if some tag in input.earlier.tags
