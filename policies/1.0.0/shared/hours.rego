# METADATA
# title: Hours run
# description: |
#   Hours of each meter now, and since an earlier visit: a replaced meter, a new controller or a rollover is a change, and
#   what the old one had run when it went is added to what the new one has run since. An earlier visit counts as left,
#   today as found.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.hours

import data.shared.exact
import data.shared.instruments
import data.shared.times
import data.shared.tolerance

# now: usable readings of today by meter, as exact pairs in seconds; at: where they stand.
now[m.meter] contains exact.of(m.reading.as_found.value, data.units[m.reading.as_found.unit]) if {
	some m in input.visit.meters
	instruments.usable(m.reading.as_found, "hours")
}

at[m.meter] contains sprintf("/meters/%d/reading/as_found", [i]) if some i, m in input.visit.meters

# replaced_today: meters read as left too: they were replaced on this visit, after they were read as found.
replaced_today contains m.meter if {
	some m in input.visit.meters
	m.reading.as_left.value >= 0
}

# standing: meters read once today, so that a change stated today came before the reading.
standing := {m.meter | some m in input.visit.meters} - replaced_today

# added: what the changes recorded since a moment, and the one stated today, add to the difference of two readings of a
# meter. A change made on the very visit comes after its reading as found.
added(meter, moment) := exact.sum_of(array.concat([[0, 1]], array.concat(today, past))) if {
	today := [exact.subtract(exact.of(c.old_last.value, data.units[c.old_last.unit]), exact.of(c.new_first.value, data.units[c.new_first.unit])) |
		some c in input.visit.meter_changes
		c.meter == meter
		meter in standing
	]
	past := [exact.subtract(exact.of(c.old_last.value, data.units[c.old_last.unit]), exact.of(c.new_first.value, data.units[c.new_first.unit])) |
		some c in input.earlier.meter_changes
		c.meter == meter
		times.at(c.recorded_at) > moment
	]
}

# left: a meter as a visit left it.
left(reading) := reading.as_left

left(reading) := reading.as_found if not reading.as_left

# since: hours run since the latest earlier visit that has meters read, by meter.
since[m.meter] contains exact.add(exact.subtract(n, exact.of(left(m.reading).value, data.units[left(m.reading).unit])), added(m.meter, times.at(visit.ended))) if {
	some visit in input.earlier.meters
	some m in visit.meters
	some n in now[m.meter]
}

# since_service: the same since the latest completed service of today's level.
since_service[m.meter] contains exact.add(exact.subtract(n, exact.of(left(m.reading).value, data.units[left(m.reading).unit])), added(m.meter, times.at(last.visit.ended))) if {
	some last in input.earlier.last_services
	last.level == input.visit.service_level
	some m in last.visit.meters
	some n in now[m.meter]
}

# since_tag: the same since each tag that hangs was placed.
since_tag[tag.tag][m.meter] contains exact.add(exact.subtract(n, exact.of(left(m.reading).value, data.units[left(m.reading).unit])), added(m.meter, times.at(tag.placed_at))) if {
	some tag in input.earlier.tags
	some m in tag.meters
	some n in now[m.meter]
}

# used_under: tags that hang and under which more was run than it takes to move the machine. unseen: of these, the ones
# under which it was run since the meters were last read, so that no earlier visit can have told of it.
used_under contains tag if {
	some tag, meters in since_tag
	some h in meters["power-on"]
	tolerance.exactly(h, data.limits.meters.tagged_use) == "high"
}

unseen contains tag if {
	some tag in used_under
	some h in since["power-on"]
	tolerance.exactly(h, data.limits.meters.tagged_use) == "high"
}

not_used_under contains tag if {
	some tag, meters in since_tag
	{tolerance.exactly(h, data.limits.meters.tagged_use) | some h in meters["power-on"]} == {"in"}
}

seen contains tag if {
	some tag in used_under
	{tolerance.exactly(h, data.limits.meters.tagged_use) | some h in since["power-on"]} == {"in"}
}
