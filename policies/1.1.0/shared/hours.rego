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
import data.shared.reasons
import data.shared.times
import data.shared.tolerance
import data.shared.visit

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

# past, today: the changes of a meter recorded since a moment, and those stated today, in the order of the record; from
# what the old one showed last to what the new one showed first.
past(meter, moment) := [{"from": exact.of(c.old_last.value, data.units[c.old_last.unit]), "to": exact.of(c.new_first.value, data.units[c.new_first.unit])} |
	some c in input.earlier.meter_changes
	c.meter == meter
	times.at(c.recorded_at) > moment
]

today(meter) := [{"from": exact.of(c.old_last.value, data.units[c.old_last.unit]), "to": exact.of(c.new_first.value, data.units[c.new_first.unit])} |
	some c in input.visit.meter_changes
	c.meter == meter
]

# changes: those between a moment and today's reading as found. A change made on the very visit comes after it.
changes(meter, moment) := array.concat(past(meter, moment), [c |
	some c in today(meter)
	meter in standing
])

# added: what they add to the difference of two readings of a meter.
added(meter, moment) := exact.sum_of(array.concat([[0, 1]], [exact.subtract(c.from, c.to) | some c in changes(meter, moment)]))

# left: a meter as a visit left it.
left(reading) := reading.as_left

left(reading) := reading.as_found if not reading.as_left

# before: usable readings that the latest earlier visit with meters read has left, by meter.
before[m.meter] contains exact.of(left(m.reading).value, data.units[left(m.reading).unit]) if {
	some then in input.earlier.meters
	some m in then.meters
	instruments.usable_in("meters", left(m.reading), "hours")
}

# since: hours run since that visit, by meter.
since[meter] contains exact.add(exact.subtract(n, b), added(meter, times.at(then.ended))) if {
	some then in input.earlier.meters
	some meter, readings in before
	some b in readings
	some n in now[meter]
}

# stretches: each meter's readings since that visit, stretch by stretch: where one began and where it ended on the same
# meter. A meter replaced on this very visit was read as found, changed, and read as left.
stretches[meter] contains {"when": "since", "began": array.concat([b], [c.to | some c in between]), "ended": array.concat([c.from | some c in between], [n])} if {
	some then in input.earlier.meters
	some meter, readings in before
	some b in readings
	some n in now[meter]
	between := changes(meter, times.at(then.ended))
}

stretches[m.meter] contains {"when": "here", "began": array.concat([n], [c.to | some c in today(m.meter)]), "ended": array.concat([c.from | some c in today(m.meter)], [left_now])} if {
	some m in input.visit.meters
	m.meter in replaced_today
	some n in now[m.meter]
	instruments.usable(m.reading.as_left, "hours")
	left_now := exact.of(m.reading.as_left.value, data.units[m.reading.as_left.unit])
}

# backwards, onwards: meters of which a stretch ran backwards by more than a display step, and of which every stretch is
# known and none did.
backwards contains meter if {
	some meter, found in stretches
	some s in found
	some i, end in s.ended
	exact.above(exact.subtract(s.began[i], step), end)
}

onwards contains meter if {
	some meter, found in stretches
	count(found) == 1 + count({meter} & replaced_today)
	every s in found {
		every i, end in s.ended {
			exact.at_least(end, exact.subtract(s.began[i], step))
		}
	}
}

# slack: how far these may be off: one display step for each difference of two readings in them.
slack[meter] := exact.times(step, [1 + count(changes(meter, times.at(then.ended))), 1]) if {
	some then in input.earlier.meters
	some meter, _ in before
}

step := exact.difference(data.limits.meters.display_step.max, data.units[data.limits.meters.display_step.unit])

# not_had: why a meter has no reading, for a reason that is a state and stands in the record.
not_had[concat(" ", ["meter", m.meter])] contains reasons.state[m.reading.not_obtained.reason] if {
	some m in input.visit.meters
	not m.reading.as_left
}

not_had[concat(" ", ["meter", meter])] contains reasons.ended if {
	visit.cut_off
	some meter in visit.class.meters
	count([m | some m in input.visit.meters; m.meter == meter]) == 0
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
