# METADATA
# scope: package
# title: No tag hangs on the machine
# description: |
#   A tag says that the machine must not be used; it stays so until the tag is released with evidence.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: critical
#   says: "{subject} hangs on the machine: {message}."
#   needs: "{subject} of visit {from} has no answer."
#   remedy: "Do not use the machine. Put right what the tag stands for, then release it with evidence."
#   who: technician
#   concession: never
#   cautions:
#     - "Nobody but a qualified person releases a tag."
#   since: visit/1
package condition.machine.no_open_tag

subjects contains concat(" ", ["tag", tag.tag]) if some tag in input.earlier.tags

subjects contains concat(" ", ["tag", tag.tag]) if some tag in input.visit.tags_placed

spared contains "no tag hangs on the machine" if {
	count(input.earlier.tags) == 0
	count(input.visit.tags_placed) == 0
}

placed contains concat(" ", ["tag", tag.tag]) if some tag in input.visit.tags_placed

released contains concat(" ", ["tag", answer.tag]) if {
	some answer in input.visit.tags_answered
	answer.answer == "released"
	answer.evidence != ""
}

conforming contains subject if some subject in ((released & subjects) - placed)

nonconforming contains subject if some subject in placed

nonconforming contains subject if {
	some answer in input.visit.tags_answered
	answer.answer == "kept"
	subject := concat(" ", ["tag", answer.tag])
	subject in subjects
}

facts[concat(" ", ["tag", tag.tag])] contains {"name": "message", "text": tag.message} if some tag in input.visit.tags_placed

facts[concat(" ", ["tag", tag.tag])] contains {"name": "at", "at": sprintf("/tags_placed/%d/message", [i])} if some i, tag in input.visit.tags_placed

facts[concat(" ", ["tag", tag.tag])] contains {"name": "message", "text": sprintf("placed by visit %s and kept", [tag.placed_in])} if some tag in input.earlier.tags

facts[concat(" ", ["tag", tag.tag])] contains {"name": "from", "text": tag.placed_in} if some tag in input.earlier.tags
