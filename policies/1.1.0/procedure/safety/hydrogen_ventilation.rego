# METADATA
# scope: package
# title: The charging place has air enough for the hydrogen that all packs on charge there give off
# description: |
#   A pack on charge gives off hydrogen; without enough air it gathers to a mixture that explodes. Air wanted in cubic
#   metres an hour is 0.055 times cells times gassing current, summed over every pack on charge in that place. A flow
#   that does not do for this pack alone is too little, whatever else stands there. The place is the site's to mend: once
#   the site is told, or it is followed up, it is a remark.
# related_resources:
#   - ref: urn:text:ZVEI-leaflet-14
#     description: Q = 0.055 × n × Igas at 25 °C, 2017 and 2020, citing DIN EN 62485-3
#   - ref: urn:text:29-CFR-1926.441-a-1
#     description: ventilation that keeps an explosive mixture from forming (construction), with paragraph (a)(2)
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   says: "The charging place has {flow} of air; the packs on charge there want {wanted}{telling}."
#   needs: "The air exchange of the charging place, this pack's gassing current and every other pack on charge there are needed[; this pack alone wants {own}]."
#   needs_state: The visit was cut off before the charging place was looked at.
#   remedy: Open doors, charge fewer packs at once or elsewhere, and let a specialist judge the ventilation of the place.
#   who: customer
#   concession: never
#   since: visit/1
#   cautions:
#     - Hydrogen explodes at a spark; this sum is no design of a ventilation. Follow the battery's and charger's manuals and local codes, and leave it to a qualified person if in doubt.
package procedure.safety.hydrogen_ventilation

import data.shared.exact
import data.shared.followup
import data.shared.instruments
import data.shared.steps
import data.shared.tolerance
import data.shared.visit

subjects contains "visit" if {
	visit.attended
	visit.flooded
}

spared contains "nobody attended the machine" if visit.not_available

spared contains "the pack is sealed" if {
	visit.attended
	visit.sealed
}

spared contains "the battery is not in the scope of this visit" if {
	visit.attended
	"battery" in visit.out_of_scope
}

per_cell_ampere := exact.of(data.limits.safety.ventilation_per_cell_ampere.min, data.units[data.limits.safety.ventilation_per_cell_ampere.unit])

ampere := data.units.A

# cells: of this pack, in series.
cells := count(visit.class.battery.blocks) * visit.class.battery.cells_each

current := exact.of(input.visit.battery.ventilation.gassing_current.value, ampere)

# believed: the gassing current is one that a pack of this capacity can have.
believed if tolerance.exactly(exact.over(current, visit.class.battery.capacity), data.limits.safety.gassing_current_least) == "in"

own := exact.times(per_cell_ampere, exact.times([cells, 1], current))

# others: what the other packs want, once all of them are known.
others := [0, 1] if {
	input.visit.battery.ventilation.others == "none"
	input.visit.battery.ventilation.others_count == 0
	count(input.visit.battery.ventilation.packs) == 0
}

others := exact.times(per_cell_ampere, exact.sum_of([exact.times([p.cells, 1], exact.of(p.gassing_current.value, ampere)) | some p in input.visit.battery.ventilation.packs])) if {
	input.visit.battery.ventilation.others == "listed"
	input.visit.battery.ventilation.others_count > 0
	count(input.visit.battery.ventilation.packs) == input.visit.battery.ventilation.others_count
}

# listed: what the packs that are named want at least, though not all may be.
listed := exact.times(per_cell_ampere, exact.sum_of(array.concat([[0, 1]], [exact.times([p.cells, 1], exact.of(p.gassing_current.value, ampere)) | some p in input.visit.battery.ventilation.packs])))

flow := exact.of(r.value, data.units[r.unit]) if {
	r := input.visit.battery.ventilation.flow.as_found
	instruments.usable(r, "airflow")
}

conforming contains "visit" if {
	"visit" in subjects
	believed
	exact.at_least(flow, exact.add(own, others))
}

nonconforming contains "visit" if {
	"visit" in subjects
	short
}

short if exact.above(exact.add(own, listed), flow)

# answered: the site was told of it, or somebody follows it up.
answered := (followup.told_about | followup.followed_up) & {"battery", "charger", "visit"}

severity[subject] := "minor" if {
	some subject in subjects
	short
	count(answered) > 0
}

# What the pack itself wants is there, and only what else is on charge is not known: a question to the customer.
severity[subject] := "minor" if {
	some subject in subjects
	believed
	input.visit.battery.ventilation.others == "unknown"
	exact.at_least(flow, own)
}

# The air of the charging place is judged where it is recorded; where nothing is said of it, that is a question.
severity[subject] := "minor" if {
	some subject in subjects
	input.visit.battery.charge.state
	not input.visit.battery.ventilation
}

not_possible contains "visit" if {
	"visit" in subjects
	visit.cut_off
	"charger-start" in steps.not_reached
	not input.visit.battery.ventilation
}

facts[subject] contains {"name": "flow", "at": "/battery/ventilation/flow/as_found"} if {
	some subject in subjects
	flow
}

facts[subject] contains {"name": "telling", "text": {true: "; the site was told, or it is followed up", false: ", and nobody was told"}[count(answered) > 0]} if some subject in subjects

facts[subject] contains {"name": "wanted", "number": q[0], "scale": q[1], "place": 3, "unit": "m3/h"} if {
	some subject in subjects
	q := exact.add(own, listed)
}

facts[subject] contains {"name": "own", "number": own[0], "scale": own[1], "place": 3, "unit": "m3/h"} if some subject in subjects
