# METADATA
# scope: package
# title: The service was done within its hours
# description: |
#   A service that comes late lets wear and low water go on; it is no fault of the machine or of who does it.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: minor
#   says: "{run} h were run since the last service of this level; it is due every {due} h."
#   needs: "The power-on meter now and at the last service of this level are needed."
#   remedy: "Plan the next service earlier, or agree another interval with the customer."
#   who: lead
#   concession: lead
#   since: visit/1
package programme.service.in_time_by_hours

import data.shared.exact
import data.shared.hours
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

# allowed: the interval and its grace, in seconds.
allowed contains exact.over(exact.of(row.every_hours * (100 + data.limits.programme.service_grace.max), data.units.h), 100) if {
	some row in visit.class.service
	row.level == input.visit.service_level
}

in_time contains true if {
	some run in hours.since_service["power-on"]
	some limit in allowed
	exact.at_least(limit, run)
}

in_time contains false if {
	some run in hours.since_service["power-on"]
	some limit in allowed
	exact.above(run, limit)
}

conforming contains "visit" if {
	"visit" in subjects
	in_time == {true}
}

nonconforming contains "visit" if {
	"visit" in subjects
	false in in_time
}

facts.visit contains {"name": "run", "number": run[0], "scale": run[1] * 3600, "place": 1, "unit": "1"} if some run in hours.since_service["power-on"]

facts.visit contains {"name": "due", "text": format_int(row.every_hours, 10)} if {
	some row in visit.class.service
	row.level == input.visit.service_level
}

facts.visit contains {"name": "at", "at": pointer} if some pointer in hours.at["power-on"]
