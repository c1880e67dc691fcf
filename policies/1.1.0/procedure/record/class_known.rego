# METADATA
# scope: package
# title: The machine is of a known class, its serial read from the plate
# description: |
#   The class says which blocks, posts, meters and steps the machine has; without it nothing else can be judged. A serial
#   taken from a display or a list may be another machine's.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: critical
#   says: "The machine is not identified: {what}."
#   needs: "The class of the machine and where its serial was read are needed."
#   remedy: Read the plate, correct class and serial, and hand the record in again.
#   who: technician
#   concession: never
#   since: visit/1
package procedure.record.class_known

import data.shared.visit

known if is_object(data.classes[input.visit.machine.class])

subjects contains "class" if visit.attended

subjects contains "class" if not known

# Nobody reads the plate of a machine that is locked away.
spared contains "the machine was not available, so no plate could be read" if {
	visit.not_available
	known
}

conforming contains "class" if {
	known
	visit.attended
	input.visit.machine.serial_read_from == "plate"
}

nonconforming contains "class" if not known

nonconforming contains "class" if {
	visit.attended
	input.visit.machine.serial_read_from in {"display", "not-read"}
}

severity[subject] := "major" if {
	some subject in subjects
	known
}

facts[subject] contains {"name": "what", "text": concat(" ", ["there is no class", input.visit.machine.class])} if {
	some subject in subjects
	not known
}

facts[subject] contains {"name": "what", "text": "the serial was read from the display, not from the plate"} if {
	some subject in subjects
	input.visit.machine.serial_read_from == "display"
}

facts[subject] contains {"name": "what", "text": "the serial was not read"} if {
	some subject in subjects
	input.visit.machine.serial_read_from == "not-read"
}

facts[subject] contains {"name": "at", "at": "/machine/class"} if {
	some subject in subjects
	not known
}

facts[subject] contains {"name": "at", "at": "/machine/serial_read_from"} if {
	some subject in subjects
	known
}
