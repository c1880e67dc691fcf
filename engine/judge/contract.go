package judge

import (
	"fmt"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// nothing is the subject of a rule that has none: the visit itself.
const nothing = "visit"

// sparedBy stands between the reasons of a rule that has nothing to judge.
const sparedBy = "; "

// classify turns the sets of one rule into outcomes, and holds the rule to its
// contract. A subject that no set names is indeterminate for want of evidence;
// silence is never conformity.
func classify(rule ruleset.Rule, got answers) ([]verdict.Outcome, error) {
	sets := map[string][]string{}
	for _, part := range parts {
		if part == ruleset.Severity || !rule.Defines(part) {
			continue
		}
		words, err := wordsOf(got[rule.Name+"."+part])
		if err != nil {
			return nil, &Fault{Rule: rule.Name, Message: "the set " + part, Err: err}
		}
		sets[part] = words
	}
	severities, err := severitiesOf(rule, got)
	if err != nil {
		return nil, err
	}
	subjects, spared := sets[ruleset.Subjects], sets[ruleset.Spared]
	if len(subjects) > 0 && len(spared) > 0 {
		return nil, &Fault{Rule: rule.Name, Subject: subjects[0],
			Message: fmt.Sprintf("is to be judged, but the rule also says that there is nothing to judge: %s", spared[0])}
	}
	found, err := sortOut(rule, subjects, sets)
	if err != nil {
		return nil, err
	}
	base := verdict.Outcome{
		Rule:     rule.Name,
		Concern:  verdict.Concern(rule.Concern),
		Severity: verdict.Severity(rule.Severity),
		Title:    rule.Title,
	}
	switch {
	case len(spared) > 0:
		base.Subject, base.Outcome = nothing, verdict.NotApplicable
		base.Statement = strings.Join(spared, sparedBy)
		return []verdict.Outcome{base}, nil
	case len(subjects) == 0:
		base.Subject, base.Outcome, base.Because = nothing, verdict.Indeterminate, verdict.Evidence
		return []verdict.Outcome{base}, nil
	}
	out := make([]verdict.Outcome, len(subjects))
	for i, subject := range subjects {
		o := base
		o.Subject = subject
		if s, ok := severities[subject]; ok {
			o.Severity = s
		}
		o.Outcome, o.Because = outcomeOf(found[subject])
		if o.Outcome == verdict.Conforming {
			o.Statement = rule.Title
		}
		out[i] = o
	}
	return out, nil
}

// sortOut finds the one set that each subject is in.
func sortOut(rule ruleset.Rule, subjects []string, sets map[string][]string) (map[string]string, error) {
	known := make(map[string]bool, len(subjects))
	for _, s := range subjects {
		known[s] = true
	}
	found := make(map[string]string, len(subjects))
	for _, part := range []string{ruleset.Conforming, ruleset.Nonconforming, ruleset.TooClose, ruleset.NotPossible} {
		for _, s := range sets[part] {
			if !known[s] {
				return nil, &Fault{Rule: rule.Name, Subject: s, Message: "is said to be " + part + ", but is no subject of the rule"}
			}
			if other, twice := found[s]; twice {
				return nil, &Fault{Rule: rule.Name, Subject: s, Message: "two answers, " + other + " and " + part}
			}
			found[s] = part
		}
	}
	return found, nil
}

// outcomeOf is the outcome of a subject by the set it is in.
func outcomeOf(part string) (verdict.Value, verdict.Because) {
	switch part {
	case ruleset.Conforming:
		return verdict.Conforming, ""
	case ruleset.Nonconforming:
		return verdict.Nonconforming, ""
	case ruleset.TooClose:
		return verdict.Indeterminate, verdict.Limit
	case ruleset.NotPossible:
		return verdict.Indeterminate, verdict.State
	}
	return verdict.Indeterminate, verdict.Evidence
}

// severitiesOf are the severities of subjects that data grades.
func severitiesOf(rule ruleset.Rule, got answers) (map[string]verdict.Severity, error) {
	if !rule.Defines(ruleset.Severity) {
		return nil, nil
	}
	obj, ok := got[rule.Name+"."+ruleset.Severity].(ast.Object)
	if !ok {
		return nil, &Fault{Rule: rule.Name, Message: "severity gives no severities by subject"}
	}
	out := make(map[string]verdict.Severity, obj.Len())
	for _, key := range obj.Keys() {
		subject, ok := key.Value.(ast.String)
		if !ok {
			return nil, &Fault{Rule: rule.Name, Message: fmt.Sprintf("severity of %v, which is no subject", key)}
		}
		word, _ := obj.Get(key).Value.(ast.String)
		switch s := verdict.Severity(word); s {
		case verdict.Critical, verdict.Major, verdict.Minor:
			out[string(subject)] = s
		default:
			return nil, &Fault{Rule: rule.Name, Subject: string(subject),
				Message: fmt.Sprintf("severity is %v, not critical, major or minor", obj.Get(key))}
		}
	}
	return out, nil
}

// wordsOf is a set, or a list, of strings, sorted. None is empty: what has no name
// cannot be told of.
func wordsOf(v ast.Value) ([]string, error) {
	var out []string
	var bad *ast.Term
	add := func(t *ast.Term) {
		if s, ok := t.Value.(ast.String); ok && s != "" {
			out = append(out, string(s))
		} else if bad == nil {
			bad = t
		}
	}
	switch v := v.(type) {
	case ast.Set:
		v.Foreach(add)
	case *ast.Array:
		v.Foreach(add)
	default:
		return nil, fmt.Errorf("holds %v, which is no set of names", v)
	}
	if bad != nil {
		return nil, fmt.Errorf("holds %v, which is no name", bad)
	}
	slices.SortFunc(out, verdict.CompareSubjects)
	return slices.Compact(out), nil
}
