# METADATA
# title: The visit
# description: |
#   The class of the machine, what this kind and level of visit requires, what was performed, how the visit ended.
#   completion and cause are read by the engine.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.visit

class := data.classes[input.visit.machine.class]

# day: the local day on which the visit started, year-month-day.
day := substring(input.visit.started, 0, 10)

# slots: the visit under judgement, and the earlier ones whose readings it is compared with.
slots[slot] := input.visit if some slot in ["today"]

slots[slot] := v if {
	some slot in ["battery"]
	some v in input.earlier.battery
}

slots[slot] := v if {
	some slot in ["meters"]
	some v in input.earlier.meters
}

# requirement: the row of the class for this kind and level; none where the class has no such row.
requirement contains row if {
	some row in class.requires
	row.kind == input.visit.kind
	row.level == input.visit.service_level
}

required_steps contains s if {
	some row in requirement
	some s in row.steps
}

# A re-inspection or repair also does the steps of the open items it answers.
required_steps contains s if {
	input.visit.kind in {"re-inspection", "repair"}
	some row in requirement
	row.kind == input.visit.kind
	some item in input.earlier.open_items
	some about in item.about
	startswith(about, "step ")
	s := substring(about, 5, -1)
	data.steps[s]
}

# areas: whose condition this kind and level of visit judges; out_of_scope: the others, once there is a row.
areas contains a if {
	some row in requirement
	some a in row.areas
}

out_of_scope contains a if {
	count(requirement) > 0
	some a in ({"battery", "charger", "machine", "meters"} - areas)
}

# flooded, sealed: the battery is judged on this visit and is of that type.
flooded if {
	"battery" in areas
	class.battery.type == "flooded"
}

sealed if {
	"battery" in areas
	class.battery.type == "sealed"
}

# attended: somebody worked on the machine. A machine that was not available was not.
attended if input.visit.ended_as in {"completed", "stopped-unsafe", "cut-short"}

not_available if input.visit.ended_as == "not-available"

# cut_off: the visit ended before the round was through, for a reason that stands in the record.
cut_off if input.visit.ended_as in {"stopped-unsafe", "cut-short", "not-available"}

# recorded: the parts of the machine that the record speaks of at all.
recorded contains "battery" if input.visit.battery.box.acid

recorded contains "charger" if input.visit.charger.kind

performed contains s.step if {
	some s in input.visit.steps
	s.left in {"sound", "defective"}
}

skipped contains s.step if {
	some s in input.visit.steps
	s.skipped.reason
}

# skipped_for: the reasons a step was left undone for.
skipped_for := {step: reasons |
	some step in skipped
	reasons := {s.skipped.reason | some s in input.visit.steps; s.step == step}
}

# completion: none, stopped, partial or full. A visit said to be completed is full if every required step was performed
# and none left undone, else partial; one whose class or level names no steps is partial.
left_undone contains s if some s in ((required_steps - performed) | skipped)

completion := "none" if not_available

completion := "stopped" if input.visit.ended_as == "stopped-unsafe"

completion := "partial" if input.visit.ended_as == "cut-short"

completion := "full" if {
	input.visit.ended_as == "completed"
	count(required_steps) > 0
	count(left_undone) == 0
}

completion := "partial" if {
	input.visit.ended_as == "completed"
	count(left_undone) > 0
}

completion := "partial" if {
	input.visit.ended_as == "completed"
	count(required_steps) == 0
}

# cause: whose the missing part is; empty for a full visit.
default cause := "technician"

cause := "" if completion == "full"

else := "site" if completion == "none"

else := "hazard" if completion == "stopped"

else := input.visit.cut_short.cause if input.visit.ended_as == "cut-short"

else := "site" if {
	some reasons in skipped_for
	some r in reasons
	r in {"not-charged", "no-access", "customer-declined"}
}

else := "parts" if {
	some reasons in skipped_for
	"no-part" in reasons
}

else := "hazard" if {
	some reasons in skipped_for
	"unsafe" in reasons
}
