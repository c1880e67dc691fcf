# METADATA
# scope: package
# title: Every electrolyte temperature fits the place
# description: |
#   Electrolyte far from the temperature of the air was mostly written down in the wrong unit, and corrects a gravity by
#   as much as a weak cell differs. Outside the band in which gravity is judged it proves nothing of the charge.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: minor
#   basis: common practice
#   says: "The electrolyte of {subject} is given as {temperature}, more than {limit} from the air, which is at {ambient}.[ Read in the other unit it would be {other}: was the unit mistaken?] Gravity is not judged by it."
#   needs: "{subject}: the electrolyte's temperature and that of the air, both by a valid thermometer, are needed."
#   needs_state: "{subject}: {reason}."
#   remedy: Read the thermometer again and note the unit that it shows; where the figure is right, let the battery come nearer to the air before its gravity is read.
#   who: technician
#   concession: lead
#   since: visit/1
#   cautions:
#     - "Electrolyte is acid: eyes, hands and body are protected."
#     - "Follow the battery's manual and local rules; leave it to a qualified person if in doubt."
package condition.battery.temperature_plausible

import data.shared.battery
import data.shared.electrolyte
import data.shared.exact
import data.shared.tolerance
import data.shared.visit

subjects contains cell if {
	visit.flooded
	some cell in battery.cells
}

spared contains "the pack is sealed" if visit.sealed

spared contains "the battery is not in the scope of this visit" if "battery" in visit.out_of_scope

# apart: where the difference between electrolyte and air stands to the limit; band: where the temperature stands to those
# at which gravity is judged.
apart[cell] contains tolerance.exactly(exact.size(exact.subtract(t.q, air)), data.limits.battery.from_ambient) if {
	some cell, readings in battery.temperature
	some t in readings
	some air in electrolyte.ambient.left
}

band[cell] contains tolerance.exactly(t.q, data.limits.battery.gravity_temperature) if {
	some cell, readings in battery.temperature
	some t in readings
}

conforming contains cell if {
	some cell, {"in"} in apart
	cell in subjects
	band[cell] == {"in"}
}

nonconforming contains cell if {
	some cell, where in apart
	"high" in where
	cell in subjects
}

not_possible contains cell if some cell, _ in why_not

# A battery as cold or hot as its place is read rightly, and cannot be judged.
why_not[cell] contains text if {
	some cell, {"in"} in apart
	cell in subjects
	some where in band[cell]
	text := {"low": "gravity is not judged of electrolyte so cold", "high": "gravity is not judged of electrolyte so hot"}[where]
}

why_not[cell] contains concat(" ", ["no temperature was had:", reason]) if {
	some cell, reasons in battery.no_temperature
	cell in subjects
	some reason in reasons
}

facts[cell] contains {"name": "temperature", "at": t.at} if {
	some cell, readings in battery.temperature
	some t in readings
}

facts[cell] contains {"name": "ambient", "at": "/place/ambient/as_found"} if some cell in subjects

facts[cell] contains {"name": "limit", "limit": "battery.from_ambient", "bound": "max"} if some cell in subjects

# fits: cells that a temperature would fit the air of.
fits[q] contains cell if {
	some cell, readings in battery.temperature
	some t in readings
	some other in {data.units.degF, data.units.degC}
	q := exact.of(t.reading.value, other)
	some air in electrolyte.ambient.left
	tolerance.exactly(exact.size(exact.subtract(q, air)), data.limits.battery.from_ambient) == "in"
}

# The same figure read in the other unit, as °F, where that would fit.
facts[cell] contains {"name": "other", "number": swapped[0], "scale": swapped[1], "place": 1, "unit": "degF"} if {
	some cell, readings in battery.temperature
	some t in readings
	t.reading.unit == "degF"
	swapped := exact.of(t.reading.value, data.units.degC)
	cell in fits[swapped]
}

facts[cell] contains {"name": "other", "number": swapped[0], "scale": swapped[1], "place": 1, "unit": "degF"} if {
	some cell, readings in battery.temperature
	some t in readings
	t.reading.unit == "degC"
	swapped := exact.of(t.reading.value, data.units.degF)
	cell in fits[swapped]
}

facts[cell] contains {"name": "reason", "text": reason} if {
	some cell, reasons in why_not
	some reason in reasons
}
