# METADATA
# scope: package
# title: The machine was not used under a tag that still hangs
# description: |
#   A tagged machine that was run was run with the danger the tag stands for.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: critical
#   says: "{subject}: the power-on meter ran from {before} h to {now} while the tag hung."
#   needs: "{subject}: the power-on meter as it was when the tag was placed and as it is now are needed."
#   remedy: "Stop the use, tell the responsible person and the quality lead the same day, look again at all the tag stands for."
#   who: lead
#   concession: never
#   cautions:
#     - "Do not use the machine until everything the tag stands for was looked at by a qualified person."
#   since: visit/1
package condition.machine.not_used_while_tagged

import data.shared.hours

subjects contains concat(" ", ["tag", tag.tag]) if some tag in input.earlier.tags

spared contains "no tag hung on the machine" if count(input.earlier.tags) == 0

# released: released today with evidence; what was run before was looked into, and does not hang on the machine for ever.
released contains a.tag if {
	some a in input.visit.tags_answered
	a.answer == "released"
	a.evidence != ""
}

conforming contains concat(" ", ["tag", tag]) if some tag in hours.not_used_under

conforming contains concat(" ", ["tag", tag]) if some tag in (hours.used_under & released)

nonconforming contains concat(" ", ["tag", tag]) if some tag in (hours.used_under - released)

facts[concat(" ", ["tag", tag.tag])] contains {"name": "before", "text": sprintf("%v", [m.reading.as_found.value])} if {
	some tag in input.earlier.tags
	some m in tag.meters
	m.meter == "power-on"
}

facts[concat(" ", ["tag", tag.tag])] contains {"name": "now", "at": sprintf("/meters/%d/reading/as_found", [i])} if {
	some tag in input.earlier.tags
	some i, m in input.visit.meters
	m.meter == "power-on"
	m.reading.as_found
}
