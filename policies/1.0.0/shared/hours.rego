# METADATA
# title: Hours run
# description: |
#   Hours of each meter now, and since an earlier visit: a replaced meter, a new controller or a rollover is a change, and
#   what the old one had run when it went is added to what the new one has run since.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.hours

import data.shared.exact
import data.shared.instruments

# now: usable readings of today by meter, as exact pairs in seconds; at: where they stand.
now[m.meter] contains exact.of(m.reading.as_found.value, data.units[m.reading.as_found.unit]) if {
	some m in input.visit.meters
	instruments.usable(m.reading.as_found, "hours")
}

at[m.meter] contains sprintf("/meters/%d/reading/as_found", [i]) if some i, m in input.visit.meters

# added: by meter, what changes recorded today add to the difference of two readings.
added[m.meter] := exact.sum_of(array.concat([[0, 1]], parts)) if {
	some m in input.visit.meters
	parts := [exact.subtract(exact.of(c.old_last.value, data.units[c.old_last.unit]), exact.of(c.new_first.value, data.units[c.new_first.unit])) |
		some c in input.visit.meter_changes
		c.meter == m.meter
	]
}

# before: readings of the latest earlier visit that has meters read.
before[m.meter] contains exact.of(m.reading.as_found.value, data.units[m.reading.as_found.unit]) if {
	some visit in input.earlier.meters
	some m in visit.meters
}

# since: hours run since then, by meter.
since[meter] contains exact.add(exact.subtract(n, b), added[meter]) if {
	some meter, readings in now
	some n in readings
	some b in before[meter]
}

# at_service, since_service: the same for the latest completed service of today's level.
at_service[m.meter] contains exact.of(m.reading.as_found.value, data.units[m.reading.as_found.unit]) if {
	some last in input.earlier.last_services
	last.level == input.visit.service_level
	some m in last.visit.meters
}

since_service[meter] contains exact.add(exact.subtract(n, b), added[meter]) if {
	some meter, readings in now
	some n in readings
	some b in at_service[meter]
}
