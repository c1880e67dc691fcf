# METADATA
# title: Charge and water before a gravity
# description: |
#   Whether a battery was full, and its water mixed in, when its gravity was first taken, on the visit under judgement
#   and on the earlier one (visit.slots); and the reasons, standing in the record, why it does not count as that.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.charge

import data.shared.exact
import data.shared.times
import data.shared.tolerance
import data.shared.visit

gravity_at[slot] := times.at(v.battery.gravity_at) if some slot, v in visit.slots

ended[slot] := times.at(v.battery.charge.ended) if some slot, v in visit.slots

watered[slot] := times.at(v.battery.watering.at) if some slot, v in visit.slots

# key_hours: where the hours that the machine was run since the charge stand to the limit; charging: where the hours of
# charging since the cells were last watered stand.
key_hours[slot] := tolerance.exactly(exact.of(v.battery.charge.key_hours_since.value, data.units.h), data.limits.battery.key_hours_since_charge) if some slot, v in visit.slots

charging[slot] := tolerance.exactly(exact.of(v.battery.last_watered.charge_hours_since.value, data.units.h), data.limits.battery.charging_since_water) if some slot, v in visit.slots

# full: proven full at the reading: the charge ended lately, nothing was run since, and something better than the site's
# word shows its end. not_full: why it does not count as full.
full contains slot if {
	some slot, v in visit.slots
	v.battery.charge.state == "ended"
	v.battery.charge.end_shown_by in {"charger-display", "charger-log", "steady-gravity", "watched"}
	ended[slot] <= gravity_at[slot]
	gravity_at[slot] - ended[slot] <= data.limits.battery.charge_age.max * times.hour
	key_hours[slot] == "in"
}

not_full[slot] contains "no charge ended before the reading" if {
	some slot, v in visit.slots
	v.battery.charge.state in {"running", "none", "unknown"}
}

not_full[slot] contains "nothing but the site's word shows the end of the charge" if {
	some slot, v in visit.slots
	v.battery.charge.end_shown_by == "site-word"
}

not_full[slot] contains "nothing shows the end of the charge" if {
	some slot, v in visit.slots
	v.battery.charge.end_shown_by == "none"
}

not_full[slot] contains "the charge ended after the reading" if {
	some slot, at in ended
	at > gravity_at[slot]
}

not_full[slot] contains "the charge ended too long before the reading" if {
	some slot, at in ended
	gravity_at[slot] - at > data.limits.battery.charge_age.max * times.hour
}

not_full[slot] contains "the machine was run after the charge" if some slot, "high" in key_hours

# read: places in the record of the step that takes gravity. Powered work comes after it, or the charge is drawn down
# before it is read. run_before: the steps of powered work that came before it.
read[slot] contains i if {
	some slot, v in visit.slots
	some i, s in v.steps
	s.step == "cell-gravity"
	s.left in {"sound", "defective"}
}

run_before[slot] contains s.step if {
	some slot, v in visit.slots
	last := max(read[slot])
	some i, s in v.steps
	i < last
	s.power == "key-on"
	data.steps[s.step].area == "function"
}

# settled: water was mixed in by a charge before the reading, and none went in before it on the visit. Where a time of
# watering stands beside the word that there was none, the time counts.
settled contains slot if {
	some slot, v in visit.slots
	v.battery.last_watered.known == true
	v.battery.last_watered.charges_since >= 1
	charging[slot] == "in"
	slot in water_after
}

water_after contains slot if {
	some slot, v in visit.slots
	v.battery.watering.done == false
	slot in (object.keys(visit.slots) - object.keys(watered))
}

water_after contains slot if {
	some slot, at in watered
	at >= gravity_at[slot]
}

not_settled[slot] contains "it is not known when the cells were last watered" if {
	some slot, v in visit.slots
	v.battery.last_watered.known == false
}

not_settled[slot] contains "no charge was completed since the cells were watered" if {
	some slot, v in visit.slots
	v.battery.last_watered.charges_since < 1
}

not_settled[slot] contains "the cells were charged too short a time since they were watered" if some slot, "low" in charging

not_settled[slot] contains "the cells were watered before the reading" if {
	some slot, at in watered
	at < gravity_at[slot]
}
