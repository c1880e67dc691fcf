# METADATA
# title: What closing a visit looks at
# description: |
#   The outcomes of every condition rule, read by rules of procedure.closing alone (a condition rule that read them would
#   judge itself). What could not be judged is never taken for sound: all sets are counted.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.closing

import data.shared.followup

# rules: every condition rule of the release with its severity.
rules[name] := severity if {
	some name
	severity := data.catalogue.rules[name].severity
	startswith(name, "condition.")
}

# asked: rules that named subjects or said why there are none.
asked contains rule if some rule, _ in subjects

asked contains concat(".", ["condition", area, name]) if {
	some area, name
	count(data.condition[area][name].spared) > 0
}

nonconforming[concat(".", ["condition", area, name])] := found if {
	some area, name
	found := data.condition[area][name].nonconforming
}

# undecided: measured too close to the limit, or not possible for a reason in the record.
undecided[concat(".", ["condition", area, name])] contains s if {
	some area, name
	some s in data.condition[area][name].too_close
}

undecided[concat(".", ["condition", area, name])] contains s if {
	some area, name
	some s in data.condition[area][name].not_possible
}

conforming[concat(".", ["condition", area, name])] := found if {
	some area, name
	found := data.condition[area][name].conforming
}

subjects[concat(".", ["condition", area, name])] := found if {
	some area, name
	found := data.condition[area][name].subjects
	count(found) > 0
}

answered[rule] contains s if {
	some sets in [conforming, nonconforming, undecided]
	some rule, found in sets
	some s in found
}

# unproven: subjects in none of the sets.
unproven[rule] contains s if {
	some rule, wanted in subjects
	some s in (wanted - object.get(answered, rule, set()))
}

# unanswered: found nonconforming and followed up by nothing.
unanswered[rule] contains s if {
	some rule, found in nonconforming
	some s in (found - followup.followed_up)
}

graded[concat(".", ["condition", area, name])][s] := severity if {
	some area, name
	some s, severity in data.condition[area][name].severity
}

# slight: undecided subjects that weigh minor; they are notes, and nobody must come back for them alone.
slight[rule] contains s if {
	some rule, found in undecided
	some s, "minor" in graded[rule]
	s in found
}

slight[rule] contains s if {
	some rule, found in undecided
	rules[rule] == "minor"
	some s in (found - object.keys(object.get(graded, rule, {})))
}

# weight: the severity of each nonconforming subject, its own where its rule grades subjects.
weight[rule][s] := graded[rule][s] if {
	some rule, found in nonconforming
	some s in found
}

weight[rule][s] := rules[rule] if {
	some rule, found in nonconforming
	some s in (found - object.keys(object.get(graded, rule, {})))
}

critical contains s if {
	some weights in weight
	some s, severity in weights
	severity == "critical"
}

major contains s if {
	some weights in weight
	some s, severity in weights
	severity == "major"
}

# named: a subject as it is named in a sentence.
named(subject) := concat(" ", ["the", subject]) if subject in {"battery", "charger", "visit"}

named(subject) := subject if not subject in {"battery", "charger", "visit"}

order := ["minor", "major", "critical"]

rank := {"minor": 0, "major": 1, "critical": 2}

# gravest: how much the gravest finding of a rule weighs that nothing answers; where there is none, the gravest subject
# that it lacks proof of.
gravest[rule] := order[max(ranks)] if {
	some rule, found in unanswered
	grades := weight[rule]
	ranks := {rank[severity] |
		some s, severity in grades
		s in found
	}
}

gravest[rule] := order[max(ranks)] if {
	some rule, found in unproven
	count(object.get(unanswered, rule, set())) == 0
	ranks := {rank[object.get(graded, [rule, s], rules[rule])] | some s in found}
}

# unknown: subjects that would weigh major if they did not conform, and of which neither is proven.
unknown contains s if {
	some rule, found in unproven
	some s in found
	object.get(graded, [rule, s], rules[rule]) == "major"
}
