# METADATA
# scope: package
# title: Use under a tag is told to the responsible person
# description: |
#   Somebody ran a machine that must not be run; whoever is responsible must know the same day.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: critical
#   says: "The machine was run while {subject} hung, and nobody was told."
#   needs: "{subject}: it is not known whether the machine was run."
#   remedy: "Tell the responsible person and the quality lead today, and record whom and what they answered."
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - "Do not use the machine until everything the tag stands for was looked at by a qualified person."
package procedure.closing.tagged_use_told

import data.shared.followup
import data.shared.hours
import data.shared.visit

subjects contains concat(" ", ["tag", tag.tag]) if {
	visit.attended
	some tag in input.earlier.tags
}

spared contains "no tag hung on the machine" if count(input.earlier.tags) == 0

spared contains "the machine could not be attended" if visit.not_available

conforming contains subject if {
	some tag in (hours.not_used_under | hours.seen)
	subject := concat(" ", ["tag", tag])
	subject in subjects
}

conforming contains subject if {
	some tag in hours.unseen
	subject := concat(" ", ["tag", tag])
	subject in (subjects & followup.told_about)
}

nonconforming contains subject if {
	some tag in hours.unseen
	subject := concat(" ", ["tag", tag])
	subject in (subjects - followup.told_about)
}
