# METADATA
# scope: package
# title: Every sealed block holds its voltage at rest
# description: |
#   A sealed block cannot be opened; its voltage after a rest is all that shows its state. A block that was not charged
#   reads low without being bad, and one that did not rest reads anything.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# related_resources:
#   - ref: urn:text:TM-5-684
#     description: "TM 5-684 / NAVFAC MO-200 / AFJMAN 32-1082: an open-circuit voltage means something from 16 hours off charge on; the voltages themselves are the class's"
# custom:
#   severity: major
#   says: "{subject} stood at {voltage} after its rest; allowed is {least} to {most}."
#   needs: "{subject}: a voltage by a valid voltmeter, and the hours of rest before it with no charge that speaks against them, are needed."
#   needs_state: "The voltage of {subject} could not be judged: {reason}."
#   needs_limit: "{subject} stood at {voltage}; allowed is {least} to {most}, and the voltmeter is not fine enough to tell on which side it lies."
#   remedy: Charge by the battery's manual, let it rest and measure again; a block that stays low is replaced.
#   who: specialist
#   concession: lead
#   cautions:
#     - "A tool across two posts short-circuits the battery: insulated tools, jewellery off."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
#   since: visit/1
package condition.battery.sealed_voltage

import data.shared.battery
import data.shared.exact
import data.shared.reasons
import data.shared.times
import data.shared.tolerance
import data.shared.visit
import data.shared.voltage

subjects contains block if {
	visit.sealed
	some block in battery.blocks
}

spared contains "the pack is flooded" if visit.flooded

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

limit := visit.class.battery.rest_voltage

places[block] contains tolerance.state(v.q, limit, v.u2) if {
	tolerance.exactly(voltage.rest, data.limits.battery.rest_for_sealed_voltage) == "in"
	voltage.rest_possible
	some block, shows in voltage.block
	some v in shows
}

charged if {
	input.visit.battery.charge.state == "ended"
	input.visit.battery.charge.end_shown_by in {"charger-display", "charger-log", "watched"}
	times.started - times.charge_ended <= data.limits.battery.charge_age.max * times.hour
	tolerance.exactly(exact.of(input.visit.battery.charge.key_hours_since.value, data.units.h), data.limits.battery.key_hours_since_charge) == "in"
}

conforming contains block if {
	some block, {"in"} in places
	block in subjects
}

nonconforming contains block if {
	some block, stands in places
	"high" in stands
	block in subjects
}

nonconforming contains block if {
	charged
	some block, stands in places
	"low" in stands
	block in subjects
}

too_close contains block if {
	some block, {"close"} in places
	block in subjects
}

not_possible contains block if some block, _ in why

not_full contains reason if some reason in battery.not_charged

not_full contains "the charge ended too long ago" if times.started - times.charge_ended > data.limits.battery.charge_age.max * times.hour

why[block] contains reason if {
	some block, {"low"} in places
	block in subjects
	some reason in not_full
}

why[block] contains reasons.state["not-rested"] if {
	tolerance.exactly(voltage.rest, data.limits.battery.rest_for_sealed_voltage) == "low"
	some block in subjects
}

why[block] contains reason if {
	some block, said in voltage.not_had
	block in subjects
	some reason in said
}

why[block] contains reasons.ended if {
	visit.cut_off
	some block in (subjects - object.keys(places))
}

facts[block] contains {"name": "voltage", "at": v.at} if {
	some block, shows in voltage.block
	some v in shows
}

facts[block] contains {"name": "least", "number": least[0], "scale": least[1], "place": 2, "unit": "V"} if {
	some block in subjects
	least := exact.of(limit.min, data.units[limit.unit])
}

facts[block] contains {"name": "most", "number": most[0], "scale": most[1], "place": 2, "unit": "V"} if {
	some block in subjects
	most := exact.of(limit.max, data.units[limit.unit])
}

facts[block] contains {"name": "reason", "text": reason} if {
	some block, said in why
	some reason in said
}
