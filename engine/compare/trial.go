package compare

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/turn"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// entryPoints are what the engine reads of a release besides its rules.
var entryPoints = []string{"shared.followup.followed_up", "shared.visit.completion", "shared.visit.cause"}

// trial puts the examples of both releases before both.
type trial struct {
	a, b     *side
	d        *Difference
	changes  map[string]*RuleChange // rules of both that differ, or read what does
	names    []string               // rules to be tried, sorted
	progress func(done, of int)

	mu   sync.Mutex
	done int
}

// sortOut finds the rules that are in one release alone, and those to be tried.
func (t *trial) sortOut() {
	t.d.Added, t.d.Dropped, t.d.Changed = []ruleset.Rule{}, []ruleset.Rule{}, []RuleChange{}
	t.changes = map[string]*RuleChange{}
	// Where what the engine reads for itself differs, any visit may fare otherwise.
	all := entriesDiffer(t.a, t.b)
	for _, name := range union(t.a.rules, t.b.rules) {
		_, inOld := t.a.rules[name]
		_, inNew := t.b.rules[name]
		switch {
		case !inOld:
			t.d.Added = append(t.d.Added, t.b.rules[name])
			t.names = append(t.names, name)
		case !inNew:
			t.d.Dropped = append(t.d.Dropped, t.a.rules[name])
		default:
			c := ruleChange(t.a, t.b, name)
			if c == nil && !all {
				t.d.Tried.Same++
				continue
			}
			if c == nil {
				c = &RuleChange{Name: name, Title: t.b.rules[name].Title, Severity: t.b.rules[name].Severity, Kinds: []string{}, Fields: []Field{}, Parts: []string{}, Reads: []string{}, Effect: Effect{Direction: turn.None, Turned: []turn.Turn{}}}
			}
			t.changes[name] = c
			t.names = append(t.names, name)
		}
	}
}

// entriesDiffer tells whether what the engine reads of a release besides its rules
// differs.
func entriesDiffer(a, b *side) bool {
	return slices.ContainsFunc(entryPoints, func(entry string) bool {
		pkg := entry[:strings.LastIndexByte(entry, '.')]
		return !sameText(a, b, entry) || len(differingReads(a, b, pkg, []string{entry})) > 0
	})
}

// run tries every rule that is to be tried.
func (t *trial) run(ctx context.Context) error {
	reasons := make([][]Reason, len(t.names))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i, name := range t.names {
		group.Go(func() error {
			var err error
			reasons[i], err = t.try(ctx, name)
			return err
		})
	}
	if err := group.Wait(); err != nil {
		return err
	}
	for i, name := range t.names {
		t.d.Because = append(t.d.Because, reasons[i]...)
		if c := t.changes[name]; c != nil {
			t.d.Tried.Rules++
			t.d.Changed = append(t.d.Changed, *c)
		}
	}
	return nil
}

// step tells of one rule more.
func (t *trial) step(e Effect, unbuilt int) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.d.Tried.Examples += e.Examples
	t.d.Tried.Outcomes += e.Outcomes
	t.d.Tried.Unbuilt += unbuilt
	for _, turned := range e.Turned {
		t.d.Tried.Turned += turned.Count
	}
	t.done++
	if t.progress != nil {
		t.progress(t.done, len(t.names))
	}
}

// try puts one rule's examples of both releases before both, and gives the reasons
// that follow for the level. A new rule answers for its examples by itself, to show
// what it can find.
func (t *trial) try(ctx context.Context, name string) ([]Reason, error) {
	cases, unbuilt, err := t.cases(name)
	if err != nil {
		return nil, err
	}
	now, err := judge.NewSingle(ctx, t.b.Set, name)
	if err != nil {
		return nil, err
	}
	change := t.changes[name]
	if change == nil {
		t.step(Effect{}, unbuilt)
		return found(ctx, now, verdict.Concern(t.b.rules[name].Concern), name, cases)
	}
	old, err := judge.NewSingle(ctx, t.a.Set, name)
	if err != nil {
		return nil, err
	}
	p := pair{rule: name, concern: verdict.Concern(t.b.rules[name].Concern)}
	for _, c := range cases {
		was, err := old.Judge(ctx, c.Case, nil)
		if err != nil {
			return nil, fmt.Errorf("%s, the example %q: %w", t.a.Name, c.Name, err)
		}
		is, err := now.Judge(ctx, c.Case, nil)
		if err != nil {
			return nil, fmt.Errorf("%s, the example %q: %w", t.b.Name, c.Name, err)
		}
		p.compare(c.Name, was, is)
	}
	change.Effect = Effect{Examples: len(cases), Outcomes: p.outcomes, Direction: p.turned.Direction(), Turned: p.turned.Sorted()}
	t.step(change.Effect, unbuilt)
	return p.reasons, nil
}

// found are the reasons that a new rule gives by what it finds in its examples,
// where its metadata do not grade all of its subjects.
func found(ctx context.Context, rule *judge.Single, concern verdict.Concern, name string, cases []example) ([]Reason, error) {
	for _, c := range cases {
		answer, err := rule.Judge(ctx, c.Case, nil)
		if err != nil {
			return nil, fmt.Errorf("the example %q: %w", c.Name, err)
		}
		for _, o := range answer.Outcomes {
			if a := turn.Of(o); standing(a, concern) > 0 {
				return []Reason{{Major, fmt.Sprintf("%s: %s is %s in its example %q", name, o.Subject, a, c.Name)}}, nil
			}
		}
	}
	return nil, nil
}

// pair compares what two releases say of one rule's examples.
type pair struct {
	rule     string
	concern  verdict.Concern
	outcomes int
	turned   turn.Counter
	reasons  []Reason
}

func (p *pair) because(l Level, format string, args ...any) {
	r := Reason{l, p.rule + ": " + fmt.Sprintf(format, args...)}
	// The first of a kind is enough to show it.
	if !slices.ContainsFunc(p.reasons, func(o Reason) bool { return o.Level == l }) {
		p.reasons = append(p.reasons, r)
	}
}

func (p *pair) compare(name string, was, is *judge.Answer) {
	old, now := bySubject(was.Outcomes), bySubject(is.Outcomes)
	p.outcomes += len(now)
	for _, subject := range union(old, now) {
		a, b := old[subject], now[subject]
		if !p.turned.Add(a, b, fmt.Sprintf("%q: %s", name, subject)) {
			continue
		}
		l := Minor
		if breaks(p.concern, a, b) {
			l = Major
		}
		p.because(l, "%s turns from %s to %s in the example %q", subject, a, b, name)
	}
	if was.Completion != is.Completion {
		l := Minor
		if undone(is.Completion) && !undone(was.Completion) {
			l = Major
		}
		p.because(l, "the service turns from %s to %s in the example %q", was.Completion, is.Completion, name)
	}
	if was.Cause != is.Cause {
		p.because(Minor, "what is missing turns from the cause %q to %q in the example %q", was.Cause, is.Cause, name)
	}
	for _, subject := range was.FollowedUp {
		if !slices.Contains(is.FollowedUp, subject) {
			p.because(Major, "%s is no longer followed up in the example %q", subject, name)
		}
	}
	if len(is.FollowedUp) > len(was.FollowedUp) {
		p.because(Minor, "more is followed up in the example %q", name)
	}
}

// undone tells whether a machine cannot be serviceable by how much was done.
func undone(c verdict.Completion) bool { return c != verdict.Full && c != verdict.Partial }

func bySubject(outcomes []verdict.Outcome) map[string]turn.Answer {
	out := make(map[string]turn.Answer, len(outcomes))
	for _, o := range outcomes {
		out[o.Subject] = turn.Of(o)
	}
	return out
}
