# METADATA
# scope: package
# title: The machine was not used while it was tagged
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
#   says: "{subject}: the power-on meter ran from {before} to {now} h while the tag hung."
#   needs: "{subject}: the power-on meter as it was when the tag was placed and as it is now are needed."
#   remedy: "Stop the use, tell the responsible person and the quality lead the same day, look again at all the tag stands for."
#   who: lead
#   concession: never
#   cautions:
#     - "Do not use the machine until everything the tag stands for was looked at by a qualified person."
#   since: visit/1
package condition.machine.not_used_while_tagged

import data.shared.hours
import data.shared.tolerance

subjects contains concat(" ", ["tag", tag.tag]) if some tag in input.earlier.tags

spared contains "no tag hung on the machine" if count(input.earlier.tags) == 0

# run: the power-on hours run since the tag was placed, over a changed meter too.
run[concat(" ", ["tag", tag])] contains tolerance.exactly(h, data.limits.meters.tagged_use) if {
	some tag, meters in hours.since_tag
	some h in meters["power-on"]
}

conforming contains subject if {
	some subject, places in run
	places == {"in"}
}

nonconforming contains subject if {
	some subject, places in run
	"high" in places
}

facts[concat(" ", ["tag", tag.tag])] contains {"name": "before", "text": sprintf("%v", [m.reading.as_found.value])} if {
	some tag in input.earlier.tags
	some m in tag.meters
	m.meter == "power-on"
}

facts[concat(" ", ["tag", tag.tag])] contains {"name": "now", "text": sprintf("%v", [m.reading.as_found.value])} if {
	some tag in input.earlier.tags
	some m in input.visit.meters
	m.meter == "power-on"
}
