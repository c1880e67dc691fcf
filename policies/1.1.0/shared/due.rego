# METADATA
# title: When the next service is due
# description: |
#   For each level of service: from which service it counts, when it is due by days, and when by hours at the machine's
#   own rate of use; whichever comes first. A service counts for every level whose steps it includes. Only one done in
#   full moves the day; of earlier ones the latest of each level is at hand, so full says whether it was. No rule reads
#   this.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.due

import data.shared.exact
import data.shared.hours
import data.shared.times
import data.shared.visit

# services: for each level its interval, its steps, and what counts from where.
services contains {"level": row.level, "every_hours": format_int(row.every_hours, 10), "every_days": format_int(row.every_days, 10), "counted": counted, "run": run, "rate": rate, "by_days": by_days, "by_hours": by_hours, "due": due} if {
	some row in visit.class.service
	from := object.get(chosen, row.level, [])
	counted := [{"visit": f.visit, "day": f.day, "level": f.level, "full": f.full} | some f in from]
	run := [number(q, 1) | some f in from; some q in f.run]
	by_days := [date | some f in from; date := civil(day_number(f.day) + row.every_days)]
	by_hours := [{"day": civil(day_number(visit.day) + whole_days(left, b)), "run_until": number(exact.add(n, left), 1), "to_run": number(left, 1)} |
		some f in from
		some q in f.run
		some b in basis
		b.run[0] > 0
		some n in meter_left
		left := positive(exact.subtract(exact.of(row.every_hours, data.units.h), q))
	]
	due := [d | count(by_days) > 0; d := min(array.concat(by_days, [h.day | some h in by_hours]))]
}

rate := [{"visit": b.visit, "days": format_int(b.days, 10), "run": number(b.run, 1), "per_week": number(exact.over(exact.times(b.run, [7, 1]), b.days), 1)} | some b in basis]

# steps_of: what a service of a level requires; includes: the levels whose steps a level has in it, itself among them.
steps_of[row.level] contains s if {
	some row in visit.class.requires
	row.kind == "service"
	some s in row.steps
}

includes[level] contains other if {
	some level, all in steps_of
	some other, some_of in steps_of
	count(some_of - all) == 0
}

# counts: the services that a level can be counted from, with what was run since.
counts[level] contains {"visit": input.visit.id, "day": visit.day, "level": input.visit.service_level, "full": true, "run": [[0, 1]]} if {
	input.visit.kind == "service"
	visit.completion == "full"
	some level in includes[input.visit.service_level]
}

counts[level] contains {"visit": last.visit.id, "day": substring(last.visit.started, 0, 10), "level": last.level, "full": full, "run": run} if {
	some last in input.earlier.last_services
	some level in includes[last.level]
	full := last.level in in_full
	run := [s.run | some s in spans; s.visit == last.visit.id]
}

# in_full: levels whose latest earlier service left no step undone.
in_full contains last.level if {
	some last in input.earlier.last_services
	performed := {s.step | some s in last.visit.steps; s.left in {"sound", "defective"}}
	undone := {s.step | some s in last.visit.steps; s.skipped.reason}
	count(undone) == 0
	count(steps_of[last.level] - performed) == 0
}

# chosen: the latest of those done in full; where none is, the latest.
chosen[level] := [latest[count(latest) - 1]] if {
	some level, all in counts
	complete := [[c.day, c] | some c in all; c.full == true]
	partial := [[c.day, c] | some c in all; c.full == false]
	latest := [pair[1] | some pair in sort(first_filled(complete, partial))]
}

first_filled(a, _) := a if count(a) > 0

first_filled(a, b) := b if count(a) == 0

# spans: what the machine was powered on since earlier visits, and in how many days.
spans contains {"visit": last.visit.id, "days": times.days_between(substring(last.visit.started, 0, 10), visit.day), "run": run} if {
	some last in input.earlier.last_services
	some m in last.visit.meters
	m.meter == "power-on"
	some n in hours.now["power-on"]
	run := exact.add(exact.subtract(n, in_seconds(hours.left(m.reading))), hours.added("power-on", times.at(last.visit.ended)))
}

spans contains {"visit": then.id, "days": times.days_between(substring(then.started, 0, 10), visit.day), "run": run} if {
	some then in input.earlier.meters
	some run in hours.since["power-on"]
}

# basis: the longest of them; use evens out over time.
longest := max({s.days | some s in spans; s.days > 0})

basis := array.slice([s | some s in spans; s.days == longest], 0, 1)

# meter_left: what the power-on meter shows at the end of the visit.
meter_left contains in_seconds(hours.left(m.reading)) if {
	some m in input.visit.meters
	m.meter == "power-on"
	count(hours.now["power-on"]) > 0
}

in_seconds(reading) := exact.of(reading.value, data.units[reading.unit])

positive(q) := q if q[0] >= 0

positive(q) := [0, 1] if q[0] < 0

# whole_days: whole days in which as much is run as q, at the rate of a span.
whole_days(q, b) := quotient((q[0] * b.run[1]) * b.days, q[1] * b.run[0])

# number: a pair of seconds in hours.
number(q, place) := {"number": q[0], "scale": q[1] * 3600, "place": place, "unit": "h"}

quotient(n, d) := round((n - (n % d)) / d)

day_number(day) := times.days_between("1970-01-01", day)

# civil: a day counted from 1970-01-01 as year-month-day, in the Gregorian calendar, from 1970 on. Years are counted from
# March, so that the leap day is the last: 146097 days are 400 years, 153 days are five months.
civil(number_of) := sprintf("%04d-%02d-%02d", [year, month, day]) if {
	z := number_of + 719468
	era := quotient(z, 146097)
	of_era := z % 146097
	year_of_era := quotient(((of_era - quotient(of_era, 1460)) + quotient(of_era, 36524)) - quotient(of_era, 146096), 365)
	of_year := of_era - (((365 * year_of_era) + quotient(year_of_era, 4)) - quotient(year_of_era, 100))
	from_march := quotient((5 * of_year) + 2, 153)
	day := (of_year - quotient((153 * from_march) + 2, 5)) + 1
	month := ((from_march + 2) % 12) + 1
	year := ((era * 400) + year_of_era) + quotient(14 - month, 12)
}
