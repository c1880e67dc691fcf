package judge

import (
	"context"
	"fmt"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Over judges where the outcomes of most rules are known already, as from another
// release in which those rules are the same. It asks the others alone, and concludes
// from all. It may be used by several goroutines at once.
type Over struct {
	judge *Judge
	asked map[string]bool
}

// NewOver prepares the questions of the rules named, which the release must have.
// None asks only what the release says of a visit as a whole.
func NewOver(ctx context.Context, set *ruleset.Set, names []string) (*Over, error) {
	o := &Over{asked: map[string]bool{}}
	var rules []ruleset.Rule
	for _, name := range names {
		if _, ok := set.Rule(name); !ok {
			return nil, fmt.Errorf("release %s has no rule %q", set.Version(), name)
		}
		o.asked[name] = true
	}
	for _, rule := range set.Rules() {
		if o.asked[rule.Name] {
			rules = append(rules, rule)
		}
	}
	var err error
	o.judge, err = asking(ctx, set, rules)
	return o, err
}

// Judge judges one case. Known are all outcomes of the rules that are not asked, those
// of each rule one after the other; it is an error if one is of a rule that is. Where
// they are what the release would say, concessions aside, the verdict is that of
// [Judge.Judge] by the same release, byte for byte.
func (o *Over) Judge(ctx context.Context, c Case, known []verdict.Outcome) (*verdict.Verdict, error) {
	taken := make([]verdict.Outcome, len(known))
	for i, k := range known {
		if o.asked[k.Rule] {
			return nil, fmt.Errorf("judging visit %q: the outcomes of %s are given, and it is to be asked", c.Record.ID(), k.Rule)
		}
		k.ConcededBy = ""
		taken[i] = k
	}
	in, err := inputValue(c)
	if err != nil {
		return nil, err
	}
	session := o.judge.planner.session(ctx, in)
	defer session.close()
	session.know(knownSets(o.judge.set, taken))
	v, err := o.judge.judged(ctx, c, taken, session)
	if err != nil {
		return nil, fmt.Errorf("judging visit %q by release %s: %w", c.Record.ID(), o.judge.set.Version(), err)
	}
	return v, nil
}

// knownSet is a set of a rule, named as in [query].
type knownSet struct {
	name  string
	value *ast.Term
}

// knownSets are the sets of rules whose outcomes are known, so that rules about rules
// need not have them evaluated. What cannot be told from the outcomes is left out, and
// is evaluated where it is read: gradings, what was spared where several reasons stand
// in one text, and the subjects of a rule that may have none.
func knownSets(set *ruleset.Set, known []verdict.Outcome) []knownSet {
	var out []knownSet
	for from := 0; from < len(known); {
		to := from + 1
		for to < len(known) && known[to].Rule == known[from].Rule {
			to++
		}
		if rule, ok := set.Rule(known[from].Rule); ok {
			out = append(out, setsOf(rule, known[from:to])...)
		}
		from = to
	}
	return out
}

// setsOf are the sets of one rule.
func setsOf(rule ruleset.Rule, outcomes []verdict.Outcome) []knownSet {
	sets := map[string][]*ast.Term{}
	for _, o := range outcomes {
		subject := ast.StringTerm(o.Subject)
		if o.Outcome == verdict.NotApplicable {
			sets[ruleset.Spared] = append(sets[ruleset.Spared], ast.StringTerm(o.Statement))
			continue
		}
		sets[ruleset.Subjects] = append(sets[ruleset.Subjects], subject)
		switch {
		case o.Outcome == verdict.Conforming:
			sets[ruleset.Conforming] = append(sets[ruleset.Conforming], subject)
		case o.Outcome == verdict.Nonconforming:
			sets[ruleset.Nonconforming] = append(sets[ruleset.Nonconforming], subject)
		case o.Because == verdict.Limit:
			sets[ruleset.TooClose] = append(sets[ruleset.TooClose], subject)
		case o.Because == verdict.State:
			sets[ruleset.NotPossible] = append(sets[ruleset.NotPossible], subject)
		}
	}
	// A rule without a subject is told of as one about the visit.
	first := outcomes[0]
	unsure := map[string]bool{
		ruleset.Subjects: len(outcomes) == 1 && first.Subject == nothing && first.Outcome == verdict.Indeterminate && first.Because == verdict.Evidence,
		ruleset.Spared:   first.Outcome == verdict.NotApplicable && strings.Contains(first.Statement, sparedBy),
		ruleset.Severity: true,
	}
	var out []knownSet
	for _, part := range parts {
		if rule.Defines(part) && !unsure[part] {
			out = append(out, knownSet{rule.Name + "." + part, ast.SetTerm(sets[part]...)})
		}
	}
	return out
}
