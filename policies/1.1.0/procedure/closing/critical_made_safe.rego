# METADATA
# scope: package
# title: A critical defect leaves the machine isolated, tagged, and somebody told
# description: |
#   A machine that can hurt someone must not be found ready to run by whoever comes next.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: critical
#   says: "Critical, and not made safe: {open}. The machine was not left isolated and tagged for it, the key withheld and the responsible person told."
#   needs: "It is not known what was found."
#   remedy: "Isolate the machine, withhold the key, hang a tag that names the defect, tell the responsible person, and raise a critical follow-up."
#   who: technician
#   concession: never
#   cautions:
#     - "Until it is isolated nobody may use the machine; leave it to a qualified person."
#   since: visit/1
package procedure.closing.critical_made_safe

import data.shared.closing
import data.shared.followup

import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "the machine could not be attended" if visit.not_available

# tagged: subjects that a tag stands for: hung today, isolated and with the key withheld, or kept from before.
tagged contains about if {
	some tag in input.visit.tags_placed
	tag.isolated == true
	tag.key_withheld == true
	some about in tag.about
}

tagged contains about if {
	some answer in input.visit.tags_answered
	answer.answer == "kept"
	some tag in input.earlier.tags
	tag.tag == answer.tag
	some about in tag.about
}

# told_of: subjects somebody was told about, by name or by the tag that stands for them.
told_of contains about if some about in followup.told_about

told_of contains about if {
	some tag in input.visit.tags_placed
	concat(" ", ["tag", tag.tag]) in followup.told_about
	some about in tag.about
}

told_of contains about if {
	some tag in input.earlier.tags
	concat(" ", ["tag", tag.tag]) in followup.told_about
	some about in tag.about
}

safe contains s if some s in ((tagged & told_of) & followup.followed_up)

# An open item is safe with what it is about; a tag by hanging isolated and being told of.
safe contains concat(" ", ["item", item.item]) if {
	some item in input.earlier.open_items
	count({about | some about in item.about} - tagged) == 0
	count({about | some about in item.about} - told_of) == 0
}

safe contains concat(" ", ["tag", tag.tag]) if {
	some tag in input.visit.tags_placed
	tag.isolated == true
	tag.key_withheld == true
	concat(" ", ["tag", tag.tag]) in followup.told_about
}

safe contains subject if {
	some answer in input.visit.tags_answered
	answer.answer == "kept"
	subject := concat(" ", ["tag", answer.tag])
	subject in followup.told_about
}

open_critical := closing.critical - safe

conforming contains "visit" if {
	visit.attended
	count(closing.rules) > 0
	count(closing.asked) > 0
	count(open_critical) == 0
}

nonconforming contains "visit" if {
	visit.attended
	count(open_critical) > 0
}

facts.visit contains {"name": "open", "text": closing.named(s)} if some s in open_critical
