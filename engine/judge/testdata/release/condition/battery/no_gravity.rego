# METADATA
# title: No gravity is in the record
# description: A rule that finds fault with every reading, to explain it by every form of fact.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: minor
#   basis: common practice
#   concession: lead-and-customer
#   says: "{subject} reads {reading} at {warmth}, {last} last time, {corrected} corrected, limit {limit}, torque up to {most}; compensated: {compensated}; clarity {clarity}; as left {left}; {mood}."
#   needs: "{subject} was not read."
#   remedy: "Take {subject} out."
#   who: technician
#   since: visit/1
package condition.battery.no_gravity

subjects contains cell if {
	some b in data.classes[input.visit.machine.class].battery.blocks
	some n in numbers.range(1, data.classes[input.visit.machine.class].battery.cells_each)
	cell := sprintf("cell %s.%d", [b, n])
}

spared contains "there is no battery" if false

# at: pointer of each cell by subject.
at[concat(" ", ["cell", c.cell])] contains sprintf("/battery/cells/%d", [i]) if some i, c in input.visit.battery.cells

conforming contains subject if {
	some subject in subjects
	false
}

nonconforming contains subject if {
	some i, c in input.visit.battery.cells
	c.gravity.as_found.value > 0
	subject := concat(" ", ["cell", c.cell])
}

facts[s] contains {"name": "reading", "at": concat("", [p, "/gravity/as_found"])} if {
	some s, pointers in at
	some p in pointers
}

facts[s] contains {"name": "left", "at": concat("", [p, "/gravity/as_left"])} if {
	some s, pointers in at
	some p in pointers
}

facts[s] contains {"name": "clarity", "at": concat("", [p, "/clarity"])} if {
	some s, pointers in at
	some p in pointers
}

facts[s] contains {"name": "last", "earlier": "battery", "at": concat("", [p, "/gravity/as_found"])} if {
	some s, pointers in at
	some p in pointers
	some _ in input.earlier.battery
}

facts[s] contains {"name": "warmth", "at": "/battery/blocks/0/temperature/as_found"} if some s in subjects

facts[s] contains {"name": "compensated", "at": "/instruments/0/compensated"} if some s in subjects

facts[s] contains {"name": "limit", "limit": "battery.full_charge_gravity", "bound": "min"} if some s in subjects

facts[s] contains {"name": "most", "limit": "battery.torque", "bound": "max"} if some s in subjects

facts[s] contains {"name": "corrected", "number": 12565, "scale": 10000, "place": 3, "unit": "sg"} if some s in subjects

facts[s] contains {"name": "mood", "text": word} if {
	some s in subjects
	some word in {"sad", "blue"}
}
