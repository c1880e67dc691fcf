# METADATA
# scope: package
# title: Every follow-up is raised today with a day it can be held to
# description: |
#   A follow-up without a near enough day is a wish. A critical one is told the same day, a major one is due within
#   30 days.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: major
#   says: "The follow-up {item} {what}."
#   needs: "It is not known what is to be followed up."
#   remedy: "Set the day the item was raised, and a due day within the time for its severity; tell the responsible person of a critical one today."
#   who: technician
#   concession: lead
#   since: visit/1
package procedure.closing.follow_ups_complete

import data.shared.closing
import data.shared.followup
import data.shared.times
import data.shared.visit

subjects contains "visit" if visit.attended

spared contains "the machine could not be attended" if visit.not_available

faults contains {"item": f.item, "what": "was not raised on the day of the visit"} if {
	some f in input.visit.follow_ups
	f.raised != visit.day
}

faults contains {"item": f.item, "what": "is due before it was raised"} if {
	some f in input.visit.follow_ups
	f.due < f.raised
}

faults contains {"item": f.item, "what": "is major and due too late"} if {
	some f in input.visit.follow_ups
	f.severity == "major"
	times.days_between(f.raised, f.due) > data.limits.visit.follow_up_major.max
}

faults contains {"item": f.item, "what": "is critical and nobody was told of it today"} if {
	some f in input.visit.follow_ups
	f.severity == "critical"
	count({about | some about in f.about} & told) == 0
}

# graded: how much the gravest follow-up about a subject weighs. One graded less than the defect it answers would be due
# later than the defect allows.
graded[about] := max(ranks) if {
	some f in input.visit.follow_ups
	some about in f.about
	ranks := {closing.rank[other.severity] |
		some other in input.visit.follow_ups
		some subject in other.about
		subject == about
	}
}

faults contains {"item": f.item, "what": concat(" ", ["is graded less than what was found of", about])} if {
	some f in input.visit.follow_ups
	some about in f.about
	some weights in closing.weight
	some subject, severity in weights
	subject == about
	graded[about] < closing.rank[severity]
}

told contains about if some about in followup.told_about

told contains about if {
	some tag in input.visit.tags_placed
	concat(" ", ["tag", tag.tag]) in followup.told_about
	some about in tag.about
}

conforming contains "visit" if {
	visit.attended
	count(input.visit.follow_ups) >= 0
	count(faults) == 0
}

nonconforming contains "visit" if {
	visit.attended
	count(faults) > 0
}

facts.visit contains {"name": "item", "text": f.item} if some f in faults

facts.visit contains {"name": "what", "text": f.what} if some f in faults
