# METADATA
# title: Open-circuit voltages
# description: |
#   The usable voltages of blocks and pack that count (as left where there is one, else as found), and how long the pack
#   had rested. stage says which of the two a voltage is, so that it is compared with readings of the same stage alone.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.voltage

import data.shared.exact
import data.shared.instruments
import data.shared.reasons
import data.shared.times

# block, pack: volts as an exact pair with the square of their expanded uncertainty.
block[concat(" ", ["block", b.block])] contains {"q": exact.of(r.value, data.units[r.unit]), "u2": instruments.u2(r, "voltage"), "stage": "as_left", "at": sprintf("/battery/blocks/%d/voltage/as_left", [i])} if {
	some i, b in input.visit.battery.blocks
	r := b.voltage.as_left
	instruments.usable(r, "voltage")
}

block[concat(" ", ["block", b.block])] contains {"q": exact.of(r.value, data.units[r.unit]), "u2": instruments.u2(r, "voltage"), "stage": "as_found", "at": sprintf("/battery/blocks/%d/voltage/as_found", [i])} if {
	some i, b in input.visit.battery.blocks
	not b.voltage.as_left
	r := b.voltage.as_found
	instruments.usable(r, "voltage")
}

pack contains {"q": exact.of(r.value, data.units[r.unit]), "u2": instruments.u2(r, "voltage"), "stage": "as_left", "at": "/battery/pack_voltage/as_left"} if {
	r := input.visit.battery.pack_voltage.as_left
	instruments.usable(r, "voltage")
}

pack contains {"q": exact.of(r.value, data.units[r.unit]), "u2": instruments.u2(r, "voltage"), "stage": "as_found", "at": "/battery/pack_voltage/as_found"} if {
	not input.visit.battery.pack_voltage.as_left
	r := input.visit.battery.pack_voltage.as_found
	instruments.usable(r, "voltage")
}

# not_had: why a block's voltage could not be had, for a reason that is a state and stands in the record.
not_had[concat(" ", ["block", b.block])] contains reasons.state[b.voltage.not_obtained.reason] if {
	some b in input.visit.battery.blocks
	not b.voltage.as_left
}

pack_not_had contains reasons.state[input.visit.battery.pack_voltage.not_obtained.reason] if {
	not input.visit.battery.pack_voltage.as_left
}

# rest: hours off charge and load as stated. rest_possible: no charge that ended later, or is still running, speaks
# against it.
rest := exact.of(input.visit.battery.off_charge_and_load.value, data.units[input.visit.battery.off_charge_and_load.unit])

rest_possible if input.visit.battery.charge.state in {"none", "unknown"}

rest_possible if {
	input.visit.battery.charge.state == "ended"
	exact.at_least([times.ended - times.charge_ended, 1000000000], rest)
}
