package judge

import (
	"context"
	"fmt"

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

// Judge judges one case. Known are the outcomes of rules that are not asked; it is
// an error if one is of a rule that is. Where they are what the release would say,
// concessions aside, the verdict is that of [Judge.Judge] by the same release, byte
// for byte.
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
	v, err := o.judge.judged(ctx, c, in, taken, shared())
	if err != nil {
		return nil, fmt.Errorf("judging visit %q by release %s: %w", c.Record.ID(), o.judge.set.Version(), err)
	}
	return v, nil
}
