# METADATA
# scope: package
# title: Water for eyes and skin is within 25 ft where acid is handled
# description: |
#   Acid in an eye is a matter of seconds. Where gravity is taken, the battery cleaned or acid found in its box, there
#   is something to drench eyes and skin with close by. Looking at levels and adding water alone does not ask for it.
# related_resources:
#   - ref: urn:text:29-CFR-1926.441-a-6
#     description: quick drenching of eyes and body within 25 ft (7.62 m) of battery handling (construction)
#   - ref: urn:text:29-CFR-1917.157-i
#     description: not required where only levels are checked and water is added (marine terminals)
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   says: "{what}[, at {distance}]; at most {limit} is allowed where acid is handled."
#   needs: The kind of eyewash and its distance from the battery is needed where acid is handled.
#   needs_state: The visit was cut off before the lid was opened.
#   remedy: Bring a portable eyewash next to the battery before any acid is handled.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - Rinse acid in eyes or on skin at once and for long with plenty of water, then see a doctor; follow local codes.
package procedure.safety.drenching_at_hand

import data.shared.acid
import data.shared.exact
import data.shared.steps
import data.shared.tolerance
import data.shared.visit

subjects contains "visit" if {
	visit.attended
	visit.class.battery.type == "flooded"
}

spared contains "nobody attended the machine" if visit.not_available

spared contains "a sealed pack gives no acid to handle" if {
	visit.attended
	visit.class.battery.type == "sealed"
}

# near, far: where the eyewash stands to the limit; none: there is none.
distance := exact.of(input.visit.place.eyewash.distance.value, data.units[input.visit.place.eyewash.distance.unit])

near if {
	input.visit.place.eyewash.kind in {"plumbed", "portable"}
	tolerance.exactly(distance, data.limits.safety.eyewash_distance) == "in"
}

wrong contains {"what": "the eyewash was too far away", "at": "/place/eyewash/distance"} if {
	input.visit.place.eyewash.kind in {"plumbed", "portable"}
	tolerance.exactly(distance, data.limits.safety.eyewash_distance) == "high"
}

wrong contains {"what": "there was no eyewash", "at": "/place/eyewash/kind"} if input.visit.place.eyewash.kind == "none"

conforming contains "visit" if {
	"visit" in subjects
	near
}

conforming contains "visit" if {
	"visit" in subjects
	acid.none_handled
}

nonconforming contains "visit" if {
	"visit" in subjects
	acid.handled
	count(wrong) > 0
}

not_possible contains "visit" if {
	"visit" in subjects
	"lid-open" in steps.not_reached
	not input.visit.place
	not acid.handled
}

facts[subject] contains {"name": "what", "text": w.what} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "at", "at": w.at} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "distance", "at": w.at} if {
	some subject in subjects
	some w in wrong
	endswith(w.at, "distance")
}

facts[subject] contains {"name": "limit", "limit": "safety.eyewash_distance", "bound": "max"} if some subject in subjects
