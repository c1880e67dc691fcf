// Package judge puts a record before a release of the rules and says what comes
// of it: one verdict.
//
// Start at [New] and [Judge.Judge]. The rules prove; the package counts. It asks
// every rule which subjects must be judged and which of them it proved to conform
// or not to, holds the rule to that contract, and takes no silence for an answer:
// what no rule proved is indeterminate. From the outcomes follow acceptance of the
// visit, serviceability of the machine and completion of the service.
//
// Something wrong with a visit is an outcome; failing to judge is an error, and a
// rule that breaks the contract is one of type [Fault]. The package reads no file,
// no clock and prints nothing.
package judge

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Judge judges by one release. It may be used by several goroutines at once.
type Judge struct {
	set   *ruleset.Set
	rules []ruleset.Rule
	all   *query
	facts map[string]func() (*query, error) // by rule, prepared when first asked for
	sheet func() (*query, error)            // nil where the release lays out none

	planner *planner
}

// New prepares the questions to a release.
func New(ctx context.Context, set *ruleset.Set) (*Judge, error) {
	return asking(ctx, set, set.Rules())
}

// asking prepares the questions of some rules.
func asking(ctx context.Context, set *ruleset.Set, rules []ruleset.Rule) (*Judge, error) {
	names := []string{followedUp, completion, cause}
	for _, rule := range rules {
		names = append(names, documents(rule)...)
	}
	all, err := prepare(ctx, set, names)
	if err != nil {
		return nil, err
	}
	j := &Judge{
		set: set, rules: rules, all: all, facts: map[string]func() (*query, error){},
		planner: &planner{set: set, documents: plannable(set, rules, names)},
	}
	for _, rule := range rules {
		if rule.Defines(ruleset.Facts) {
			j.facts[rule.Name] = sync.OnceValues(func() (*query, error) {
				return prepare(context.WithoutCancel(ctx), set, []string{rule.Name + "." + ruleset.Facts})
			})
		}
	}
	if laysOut(set) {
		j.sheet = sync.OnceValues(func() (*query, error) {
			return prepare(context.WithoutCancel(ctx), set, sheetDocuments())
		})
	}
	return j, nil
}

// documents are the parts of the contract that a rule is asked for.
func documents(rule ruleset.Rule) []string {
	var names []string
	for _, part := range parts {
		if rule.Defines(part) {
			names = append(names, rule.Name+"."+part)
		}
	}
	return names
}

// Judge judges one case. The same case under the same release gives the same
// verdict, byte for byte.
func (j *Judge) Judge(ctx context.Context, c Case) (*verdict.Verdict, error) {
	in, err := inputValue(c)
	if err != nil {
		return nil, err
	}
	s := j.planner.session(ctx, in)
	defer s.close()
	return j.judge(ctx, c, s)
}

func (j *Judge) judge(ctx context.Context, c Case, s *session) (*verdict.Verdict, error) {
	v, err := j.judged(ctx, c, nil, s)
	if err != nil {
		return nil, fmt.Errorf("judging visit %q by release %s: %w", c.Record.ID(), j.set.Version(), err)
	}
	return v, nil
}

// judged asks the rules, and concludes from their outcomes and from others that are
// known.
func (j *Judge) judged(ctx context.Context, c Case, known []verdict.Outcome, s *session) (*verdict.Verdict, error) {
	got, err := s.ask(ctx, j.all.names, func() (*query, error) { return j.all, nil })
	if err != nil {
		return nil, err
	}
	outcomes := slices.Clone(known)
	src := source{set: j.set, record: c.Record, earlier: c.Earlier}
	for _, rule := range j.rules {
		of, err := classify(rule, got)
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(of, verdict.Outcome.Finding) {
			facts := map[string][]verdict.Fact{}
			if prepared, ok := j.facts[rule.Name]; ok {
				if facts, err = explain(ctx, prepared, rule.Name, src, s); err != nil {
					return nil, err
				}
			}
			for i := range of {
				state(rule, &of[i], facts[of[i].Subject])
			}
		}
		outcomes = append(outcomes, of...)
	}
	return j.conclude(c, got, outcomes)
}

// state words a finding.
func state(rule ruleset.Rule, o *verdict.Outcome, facts []verdict.Fact) {
	if !o.Finding() {
		return
	}
	o.Facts = facts
	o.Pointer = pointerOf(facts)
	o.Statement = fill(Template(rule, *o), o.Subject, facts)
	o.Why = rule.Description
	o.Remedy = fill(rule.Remedy, o.Subject, facts)
	o.Who = rule.Who
	o.Cautions = rule.Cautions
	o.Concession = rule.Concession
}

// conclude draws the answers from the outcomes.
func (j *Judge) conclude(c Case, got answers, outcomes []verdict.Outcome) (*verdict.Verdict, error) {
	verdict.SortOutcomes(outcomes)
	ignored := concede(j.set, c.Record, outcomes, c.Concessions)
	state, err := standing(c, got)
	if err != nil {
		return nil, err
	}
	why, err := causeOf(got)
	if err != nil {
		return nil, err
	}
	v := &verdict.Verdict{
		Schema:         verdict.Version,
		Visit:          identify(c),
		Received:       c.Received,
		Earlier:        compared(c),
		Release:        verdict.Release{Version: j.set.Version(), Digest: j.set.Digest()},
		Acceptance:     accept(outcomes),
		Serviceability: serviceability(outcomes, state),
		Completion:     state.completion,
		Cause:          why,
		Counts:         verdict.Count(outcomes),
		Tags:           state.tags,
		Restrictions:   state.restrictions,
		Outcomes:       outcomes,
		Ignored:        ignored,
	}
	v.NeedsAttention = v.Acceptance.Value != verdict.Accepted || v.Serviceability != verdict.Serviceable
	return v, nil
}

// standing gathers what serviceability depends on besides the outcomes.
func standing(c Case, got answers) (machineState, error) {
	subjects, err := wordsOf(got[followedUp])
	if err != nil {
		return machineState{}, &Fault{Rule: followedUp, Message: "the set of subjects", Err: err}
	}
	done, err := word(got, completion)
	if err != nil {
		return machineState{}, err
	}
	m := machineState{
		followedUp: map[string]bool{},
		completion: verdict.Completion(done),
		endedAs:    c.Record.EndedAs(),
	}
	switch m.completion {
	case verdict.Full, verdict.Partial, verdict.Stopped, verdict.None:
	default:
		return machineState{}, &Fault{Rule: completion, Message: fmt.Sprintf("%q is no degree of completion", done)}
	}
	for _, s := range subjects {
		m.followedUp[s] = true
	}
	_, tags, restrictions := c.Earlier.After(c.Record)
	for _, t := range tags {
		m.tags = append(m.tags, verdict.Tag{Tag: t.Tag, PlacedIn: t.PlacedIn})
	}
	slices.SortFunc(m.tags, func(a, b verdict.Tag) int { return strings.Compare(a.Tag, b.Tag) })
	for _, r := range restrictions {
		m.restrictions = append(m.restrictions, verdict.Restriction{
			ID: r.ID, NotToDo: r.NotToDo, Until: r.Until, PlacedIn: r.PlacedIn,
			Expired: r.Until < c.Record.LocalDay(),
		})
	}
	return m, nil
}

// causeOf is whose the missing part of the service is.
func causeOf(got answers) (verdict.Cause, error) {
	why, err := word(got, cause)
	if err != nil {
		return "", err
	}
	switch c := verdict.Cause(why); c {
	case verdict.NoCause, verdict.CauseTechnician, verdict.CauseSite, verdict.CauseHazard, verdict.CauseParts:
		return c, nil
	}
	return "", &Fault{Rule: cause, Message: fmt.Sprintf("%q is no cause", why)}
}

// word is an answer that is one word.
func word(got answers, name string) (string, error) {
	s, ok := got[name].(ast.String)
	if !ok {
		return "", &Fault{Rule: name, Message: fmt.Sprintf("answers %v, which is no word", got[name])}
	}
	return string(s), nil
}

// identify names the record in its own words.
func identify(c Case) verdict.Visit {
	site, _ := c.Record.Text("/site/id")
	started, _ := c.Record.Text("/started")
	ended, _ := c.Record.Text("/ended")
	return verdict.Visit{
		ID:      c.Record.ID(),
		Kind:    c.Record.Kind(),
		Level:   c.Record.Level(),
		Site:    site,
		Serial:  c.Record.Serial(),
		Class:   c.Record.Class(),
		Started: started,
		Ended:   ended,
		EndedAs: c.Record.EndedAs(),
		Digest:  c.Record.Digest(),
	}
}

// compared names the earlier visits.
func compared(c Case) []verdict.Earlier {
	var out []verdict.Earlier
	for _, s := range c.Earlier.Slots() {
		out = append(out, verdict.Earlier{Slot: s.Name, Level: s.Level, Visit: s.Visit.ID(), Digest: s.Visit.Digest()})
	}
	return out
}
