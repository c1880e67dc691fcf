# METADATA
# scope: package
# title: The service was done within its days
# description: |
#   A machine that is hardly used still needs its water, its seals and its stop devices looked at.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: minor
#   says: "{run} days have gone since the last service of this level; it is due every {due} days."
#   needs: "The last service of this level is needed."
#   remedy: "Plan the next service earlier, or agree another interval with the customer."
#   who: lead
#   concession: lead
#   since: visit/1
package programme.service.in_time_by_days

import data.shared.times
import data.shared.visit

subjects contains "visit" if {
	input.visit.kind == "service"
	count(last) > 0
}

spared contains "this visit is no service" if input.visit.kind in {"re-inspection", "repair", "handover"}

spared contains "no earlier service of this level is known" if {
	input.visit.kind == "service"
	count(last) == 0
}

last contains service.visit.id if {
	some service in input.earlier.last_services
	service.level == input.visit.service_level
}

gone contains times.days_between(substring(service.visit.started, 0, 10), visit.day) if {
	some service in input.earlier.last_services
	service.level == input.visit.service_level
}

# due: the interval of the level in days; a hundred times the days are held against it with its grace in per cent.
due contains row.every_days if {
	some row in visit.class.service
	row.level == input.visit.service_level
}

conforming contains "visit" if {
	"visit" in subjects
	some d in gone
	some interval in due
	d * 100 <= interval * (100 + data.limits.programme.service_grace.max)
}

nonconforming contains "visit" if {
	"visit" in subjects
	some d in gone
	some interval in due
	d * 100 > interval * (100 + data.limits.programme.service_grace.max)
}

facts.visit contains {"name": "run", "text": format_int(d, 10)} if some d in gone

facts.visit contains {"name": "due", "text": format_int(interval, 10)} if some interval in due
