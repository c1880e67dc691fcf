# METADATA
# title: Times
# description: |
#   The gate times as whole nanoseconds since 1970, compared as instants whatever their offsets. A gate that the record
#   does not hold is undefined, so what compares it proves nothing.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.times

at(t) := time.parse_rfc3339_ns(t)

minute := 60000000000

hour := 60 * minute

started := at(input.visit.started)

ended := at(input.visit.ended)

made_safe := at(input.visit.place.made_safe_at)

protected_from := at(input.visit.protection.confirmed_at)

protected_to := at(input.visit.protection.kept_until)

lid_opened := at(input.visit.place.lid.opened_at)

lid_shut := at(input.visit.place.lid.shut_at)

power_back := at(input.visit.place.power_back.at)

charge_ended := at(input.visit.battery.charge.ended)

gravity := at(input.visit.battery.gravity_at)

watered := at(input.visit.battery.watering.at)

last_watered := at(input.visit.battery.last_watered.at)

stopped := at(input.visit.stop.at)

# stepped: the instants of the steps that bear a time, by their place in the record.
stepped := {i: at(s.at) | some i, s in input.visit.steps}

# day_ns: midnight UTC of a day written year-month-day; good for differences between days alone.
day_ns(d) := time.parse_rfc3339_ns(concat("", [d, "T00:00:00Z"]))

# days_between: whole days from a to b, negative where b is before a.
days_between(a, b) := round((day_ns(b) - day_ns(a)) / ((24 * 60) * 60000000000))
