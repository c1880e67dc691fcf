# METADATA
# scope: package
# title: Emergency stop, hold-to-run control, seat switch and brake are proven before anything moves
# description: |
#   What must stop the machine is tried first, with power just back and nothing moving. Where one of them fails, nothing
#   else is set in motion.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   basis: common practice
#   says: "{subject}: {what}."
#   needs: "{subject}: its place in the record before the first movement is needed, as are the movements themselves and, for the emergency stop, its time after power came back."
#   needs_state: "{subject} was not tried and nothing was moved: {reason}."
#   remedy: Switch off. Try emergency stop, hold-to-run control, seat switch and brake first; where one fails, isolate and tag the machine.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - A machine that does not stop runs people over; try it with people clear, follow its manual, and leave it to a qualified person if in doubt.
package procedure.safety.stop_devices_first

import data.shared.steps
import data.shared.times
import data.shared.visit

device[concat(" ", ["step", s])] := s if some s in (steps.stop_devices & visit.required_steps)

subjects contains subject if {
	visit.attended
	some subject, _ in device
}

spared contains "nobody attended the machine" if visit.not_available

# moved: places of the steps that moved something; told: the record speaks of every movement that the round asks for.
moved contains i if {
	some s, places in steps.place
	s in steps.movements
	some i in places
}

told if count(((visit.required_steps & steps.movements) - steps.recorded) - steps.not_reached) == 0

# before: devices tried before the first movement, or with none after.
before contains s if {
	some s, places in steps.place
	s in steps.stop_devices
	min(places) < steps.first_movement
}

before contains s if {
	some s, _ in steps.place
	s in steps.stop_devices
	count(moved) == 0
}

# failed: places at which a device was left defective.
failed[s.step] contains i if {
	some i, s in input.visit.steps
	s.left == "defective"
	s.step in steps.stop_devices
}

wrong contains {"step": s, "what": "it was tried after the machine had been moved", "at": sprintf("/steps/%d/step", [min(places)])} if {
	some s, places in steps.place
	s in steps.stop_devices
	min(places) > steps.first_movement
}

wrong contains {"step": s, "what": "it was left defective, and the machine was moved all the same", "at": sprintf("/steps/%d/left", [i])} if {
	some s, places in failed
	some i in places
	i < max(moved)
}

wrong contains {"step": s.step, "what": "it was not tried, and the machine was moved all the same", "at": sprintf("/steps/%d/skipped/reason", [i])} if {
	count(moved) > 0
	some step in ((steps.stop_devices & visit.skipped) - visit.performed)
	some i, s in input.visit.steps
	s.step == step
	s.skipped.reason
}

# The emergency stop is a gate. Where power came back more than once, the end of the first isolation counts.
ends := {times.at(i.to) | some i in input.visit.isolations}

powered_at := times.power_back if count(ends) == 1

powered_at := min(ends) if count(ends) > 1

pressed contains times.stepped[i] if some i in steps.place["emergency-stop"]

wrong contains {"step": "emergency-stop", "what": "it was tried before power came back", "at": "/place/power_back/at"} if min(pressed) < powered_at

timely contains s if some s in (steps.stop_devices - {"emergency-stop"})

timely contains "emergency-stop" if min(pressed) >= powered_at

faulty contains w.step if some w in wrong

conforming contains subject if {
	told
	visit.attended
	some subject, s in device
	s in ((before & timely) - faulty)
}

nonconforming contains subject if {
	visit.attended
	some subject, s in device
	s in faulty
}

not_possible contains subject if {
	visit.attended
	count(moved) == 0
	some subject, s in device
	s in ((steps.not_reached | visit.skipped) - visit.performed)
}

facts[concat(" ", ["step", w.step])] contains {"name": "what", "text": w.what} if some w in wrong

facts[concat(" ", ["step", w.step])] contains {"name": "at", "at": w.at} if some w in wrong

facts[subject] contains {"name": "reason", "text": steps.why[reason]} if {
	some subject, step in device
	some s, reasons in visit.skipped_for
	s == step
	some reason in reasons
}

facts[subject] contains {"name": "reason", "text": steps.why["not-reached"]} if {
	some subject, s in device
	s in steps.not_reached
}
