# METADATA
# title: Every reading of the record
# description: |
#   What was measured on this visit, as found and as left alike, with its quantity, what it was taken of and where it
#   stands in the record. Rules about instruments ask all of them; rules about the battery have sets of their own.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.readings

# all: {"reading", "quantity", "of", "at"}.
all contains {"reading": r, "quantity": "gravity", "of": concat(" ", ["cell", c.cell]), "at": sprintf("/battery/cells/%d/gravity/%s", [i, when])} if {
	some i, c in input.visit.battery.cells
	some when, r in c.gravity
	when in taken
}

all contains {"reading": r, "quantity": "temperature", "of": concat(" ", ["cell", c.cell]), "at": sprintf("/battery/cells/%d/temperature/%s", [i, when])} if {
	some i, c in input.visit.battery.cells
	some when, r in c.temperature
	when in taken
}

all contains {"reading": r, "quantity": "length", "of": concat(" ", ["cell", c.cell]), "at": sprintf("/battery/cells/%d/level/%s", [i, when])} if {
	some i, c in input.visit.battery.cells
	some when, r in c.level
	when in taken
}

all contains {"reading": r, "quantity": "temperature", "of": concat(" ", ["block", b.block]), "at": sprintf("/battery/blocks/%d/temperature/%s", [i, when])} if {
	some i, b in input.visit.battery.blocks
	some when, r in b.temperature
	when in taken
}

all contains {"reading": r, "quantity": "voltage", "of": concat(" ", ["block", b.block]), "at": sprintf("/battery/blocks/%d/voltage/%s", [i, when])} if {
	some i, b in input.visit.battery.blocks
	some when, r in b.voltage
	when in taken
}

all contains {"reading": r, "quantity": "torque", "of": concat(" ", ["post", p.post]), "at": sprintf("/battery/posts/%d/torque/%s", [i, when])} if {
	some i, p in input.visit.battery.posts
	some when, r in p.torque
	when in taken
}

all contains {"reading": r, "quantity": "voltage", "of": "the pack", "at": concat("/", ["/battery/pack_voltage", when])} if {
	some when, r in input.visit.battery.pack_voltage
	when in taken
}

all contains {"reading": r, "quantity": "ph", "of": "the battery box", "at": concat("/", ["/battery/box/ph", when])} if {
	some when, r in input.visit.battery.box.ph
	when in taken
}

all contains {"reading": r, "quantity": "volume", "of": "the water added", "at": concat("/", ["/battery/watering/total", when])} if {
	some when, r in input.visit.battery.watering.total
	when in taken
}

all contains {"reading": r, "quantity": "airflow", "of": "the charging place", "at": concat("/", ["/battery/ventilation/flow", when])} if {
	some when, r in input.visit.battery.ventilation.flow
	when in taken
}

all contains {"reading": r, "quantity": "current", "of": "the charger", "at": concat("/", ["/charger/output_current", when])} if {
	some when, r in input.visit.charger.output_current
	when in taken
}

all contains {"reading": r, "quantity": "hours", "of": concat(" ", ["meter", m.meter]), "at": sprintf("/meters/%d/reading/%s", [i, when])} if {
	some i, m in input.visit.meters
	some when, r in m.reading
	when in taken
}

all contains {"reading": r, "quantity": "temperature", "of": "the air", "at": concat("/", ["/place/ambient", when])} if {
	some when, r in input.visit.place.ambient
	when in taken
}

# A number of a step has the quantity of its unit; whether the class asks for that quantity is its own rule's question.
all contains {"reading": x.as_found, "quantity": data.units[x.as_found.unit].quantity, "of": concat(" ", ["reading", x.reading]), "at": sprintf("/steps/%d/readings/%d/as_found", [i, k])} if {
	some i, s in input.visit.steps
	some k, x in s.readings
}

all contains {"reading": x.as_left, "quantity": data.units[x.as_left.unit].quantity, "of": concat(" ", ["reading", x.reading]), "at": sprintf("/steps/%d/readings/%d/as_left", [i, k])} if {
	some i, s in input.visit.steps
	some k, x in s.readings
}

taken := {"as_found", "as_left"}

# instruments_used: what the readings name.
instruments_used contains r.reading.instrument if some r in all
