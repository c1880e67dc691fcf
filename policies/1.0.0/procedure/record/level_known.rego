# METADATA
# scope: package
# title: The class has this kind of visit at this service level
# description: |
#   Kind and level say which steps and which parts of the machine the visit covers. One that the class does not have asks
#   for nothing, and a visit of which nothing is asked must not pass.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: critical
#   says: "The class {class} has no visit of kind {kind} at level {level}."
#   needs: "The class of the machine must be known before its service levels are."
#   remedy: Name the kind and level as the class has them and hand the record in again.
#   who: technician
#   concession: never
#   since: visit/1
package procedure.record.level_known

import data.shared.visit

subjects contains "visit"

spared := set()

conforming contains "visit" if count(visit.requirement) > 0

nonconforming contains "visit" if {
	visit.class.requires
	count(visit.requirement) == 0
}

facts[subject] contains {"name": "class", "at": "/machine/class"} if some subject in subjects

facts[subject] contains {"name": "kind", "at": "/kind"} if some subject in subjects

facts[subject] contains {"name": "level", "at": "/service_level"} if some subject in subjects
