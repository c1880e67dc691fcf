# METADATA
# title: Every cell is what the note says it is
# description: Whatever the note of a visit says of a subject, this rule answers, right or wrong.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   basis: common practice
#   concession: lead
#   says: "{subject} is said to be bad: {line}."
#   needs: "{subject} needs saying."
#   remedy: "Say otherwise of {subject}."
#   who: technician
#   since: visit/1
#   needs_limit: "{subject} is said to be close: {line}."
#   cautions: [Mind the note.]
package condition.battery.as_told

import data.shared.visit

subjects contains cell if {
	input.visit.kind in {"service", "re-inspection"}
	some cell in {"cell B1.1", "cell B1.2"}
}

subjects contains "cell B1.10" if input.visit.kind == "service"

spared contains "repairs are not asked" if input.visit.kind in {"repair", "re-inspection"}

spared contains "and this one least of all" if input.visit.kind == "repair"

conforming contains t[0] if {
	some t in visit.told
	contains(t[1], "good")
}

conforming contains t[0] if {
	some t in visit.told
	t[1] == "crash"
	10 / count([x | some x in visit.told; x[1] == "never"]) == 1
}

nonconforming contains t[0] if {
	some t in visit.told
	contains(t[1], "bad")
}

too_close contains t[0] if {
	some t in visit.told
	t[1] == "close"
}

not_possible contains t[0] if {
	some t in visit.told
	t[1] == "not possible"
}

severity[t[0]] := "critical" if {
	some t in visit.told
	contains(t[1], "very")
}

facts[t[0]] contains {"name": "line", "text": concat(" is ", t)} if some t in visit.told
