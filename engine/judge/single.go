package judge

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"
	"github.com/open-policy-agent/opa/v1/topdown"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Single judges by one rule of a release alone, as the examples of a rule do. It
// asks for the facts of every subject, not only of those that need explaining,
// so that each fact a rule can give is seen to resolve.
type Single struct {
	set  *ruleset.Set
	rule ruleset.Rule
	all  *query
}

// NewSingle prepares the questions to one rule.
func NewSingle(ctx context.Context, set *ruleset.Set, name string) (*Single, error) {
	rule, ok := set.Rule(name)
	if !ok {
		return nil, fmt.Errorf("release %s has no rule %q", set.Version(), name)
	}
	names := append([]string{followedUp, completion, cause}, documents(rule)...)
	if rule.Defines(ruleset.Facts) {
		names = append(names, rule.Name+"."+ruleset.Facts)
	}
	all, err := prepare(ctx, set, names)
	if err != nil {
		return nil, err
	}
	return &Single{set: set, rule: rule, all: all}, nil
}

// Answer is what one rule says of one case.
type Answer struct {
	// Outcomes are sorted by subject and worded as in a verdict.
	Outcomes []verdict.Outcome
	// Facts are those of every subject, by subject.
	Facts map[string][]verdict.Fact
	// Completion and Cause are what the release says of the visit as a whole.
	Completion verdict.Completion
	Cause      verdict.Cause
	// FollowedUp are the subjects that a follow-up answers for, sorted.
	FollowedUp []string
}

// Judge judges one case by the rule. The tracer sees the evaluation; it may be nil.
func (s *Single) Judge(ctx context.Context, c Case, tracer topdown.QueryTracer) (*Answer, error) {
	in, err := Prepare(c)
	if err != nil {
		return nil, err
	}
	return s.JudgePrepared(ctx, c, in, tracer)
}

// JudgePrepared does the same with a case that was prepared already.
func (s *Single) JudgePrepared(ctx context.Context, c Case, in Prepared, tracer topdown.QueryTracer) (*Answer, error) {
	answer, err := s.judge(ctx, c, in.in, tracer)
	if err != nil {
		return nil, fmt.Errorf("judging visit %q by rule %s: %w", c.Record.ID(), s.rule.Name, err)
	}
	return answer, nil
}

func (s *Single) judge(ctx context.Context, c Case, in ast.Value, tracer topdown.QueryTracer) (*Answer, error) {
	var options []rego.EvalOption
	if tracer != nil {
		options = append(options, rego.EvalQueryTracer(tracer))
	}
	got, err := s.all.ask(ctx, in, options...)
	if err != nil {
		return nil, err
	}
	answer := &Answer{Facts: map[string][]verdict.Fact{}}
	if answer.Outcomes, err = classify(s.rule, got); err != nil {
		return nil, err
	}
	if s.rule.Defines(ruleset.Facts) {
		src := source{set: s.set, record: c.Record, earlier: c.Earlier}
		if answer.Facts, err = src.factsOf(s.rule.Name, got[s.rule.Name+"."+ruleset.Facts]); err != nil {
			return nil, err
		}
	}
	for i := range answer.Outcomes {
		state(s.rule, &answer.Outcomes[i], answer.Facts[answer.Outcomes[i].Subject])
	}
	standing, err := standing(c, got)
	if err != nil {
		return nil, err
	}
	why, err := causeOf(got)
	if err != nil {
		return nil, err
	}
	answer.Completion, answer.Cause = standing.completion, why
	answer.FollowedUp = slices.Sorted(maps.Keys(standing.followedUp))
	return answer, nil
}
