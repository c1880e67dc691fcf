// Package ruletest puts a release through all its tests: the examples of each rule
// with the lines that they reach, tests written for OPA's own tester, and the
// changes that an example must notice.
//
// Start at [Run]. The package adds up what engine/examples and engine/mutation find
// and judges nothing itself.
package ruletest

import (
	"context"
	"fmt"
	"io/fs"
	"runtime"
	"sync"

	"golang.org/x/sync/errgroup"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/mutation"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Options say how much is tested. The zero value tests all.
type Options struct {
	// Rules tests these alone; none means all. What only all of them together
	// show, such as lines of shared files that none reaches, is then left out.
	Rules []string
	// NoMutation leaves the changes out.
	NoMutation bool
	// Progress is told how much is through of what is being done. It may be called
	// from several goroutines, one at a time. May be nil.
	Progress func(doing string, done, of int)
}

// What Progress is told is being done.
const (
	RunningExamples = "running examples"
	TryingChanges   = "trying changes"
)

// Result is what came of it.
type Result struct {
	Rules []Rule `json:"rules"` // sorted by name
	// Tests are those for OPA's tester, sorted by file and line.
	Tests []Test `json:"tests"`
	// Problems are those of examples, of lines not reached and of tests, in order
	// of rules, then of shared files.
	Problems []Problem `json:"problems"`
	// Whole tells whether all rules were tested, and so the shared files too.
	Whole bool `json:"whole"`
	// Mutation is what came of the changes; nil if they were not tried.
	Mutation *mutation.Result `json:"mutation"`
	// NotTried says why they were not, empty if they were or nobody wanted it.
	NotTried string `json:"not_tried,omitempty"`
}

// Rule is what the examples of one rule showed.
type Rule struct {
	Name          string `json:"name"`
	Examples      int    `json:"examples"`
	Conforming    int    `json:"conforming"` // outcomes seen, as are those that follow
	Nonconforming int    `json:"nonconforming"`
	Indeterminate int    `json:"indeterminate"`
	Spared        int    `json:"spared"`
	Lines         int    `json:"lines"` // of the rule's file, that can be reached
	Reached       int    `json:"reached"`
	Problems      int    `json:"problems"`
}

// Test is one test for OPA's tester.
type Test struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Name    string `json:"name"`
	Passed  bool   `json:"passed"`
	Message string `json:"message,omitempty"` // why it did not
}

// Problem is one thing that is not as it must be.
type Problem struct {
	File    string `json:"file"` // inside the release
	Line    int    `json:"line"` // 1-based; 0 for the file as a whole
	Message string `json:"message"`
}

// Open tells whether anything is left to mend.
func (r *Result) Open() bool {
	return len(r.Problems) > 0 || r.Mutation != nil && r.Mutation.Open()
}

// Run tests a release. The set must have been loaded from it without native
// functions, which no line of a rule can reach into.
func Run(ctx context.Context, release fs.FS, set *ruleset.Set, decoder *record.Decoder, opt Options) (*Result, error) {
	runner, err := examples.New(release, set, decoder)
	if err != nil {
		return nil, err
	}
	names := opt.Rules
	if len(names) == 0 {
		names = runner.Rules()
	}
	results, err := runAll(ctx, runner, names, opt)
	if err != nil {
		return nil, err
	}
	out := &Result{Rules: []Rule{}, Tests: []Test{}, Problems: []Problem{}}
	for _, r := range results {
		out.add(r)
	}
	shared, whole := runner.Shared()
	if out.Whole = whole; whole {
		out.note(shared...)
	}
	if out.Tests, err = tests(ctx, release, set, opt.Rules); err != nil {
		return nil, err
	}
	for _, t := range out.Tests {
		if !t.Passed {
			out.Problems = append(out.Problems, Problem{File: t.File, Line: t.Line, Message: t.Name + " fails: " + t.Message})
		}
	}
	switch failing := failing(results); {
	case opt.NoMutation:
	case failing > 0:
		out.NotTried = fmt.Sprintf("an example that is not met by the rules as they are notices nothing; of such there are %d", failing)
	default:
		out.Mutation, err = mutation.Run(ctx, release, set, runner, mutation.Options{Rules: opt.Rules, Progress: func(done, of int) { opt.tell(TryingChanges, done, of) }})
	}
	return out, err
}

func (o Options) tell(doing string, done, of int) {
	if o.Progress != nil {
		o.Progress(doing, done, of)
	}
}

// runAll runs the examples of rules side by side.
func runAll(ctx context.Context, runner *examples.Runner, names []string, opt Options) ([]*examples.Result, error) {
	results := make([]*examples.Result, len(names))
	var mu sync.Mutex
	done := 0
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i, name := range names {
		group.Go(func() error {
			result, err := runner.Rule(ctx, name)
			if err != nil {
				return err
			}
			results[i] = result
			mu.Lock()
			defer mu.Unlock()
			done++
			opt.tell(RunningExamples, done, len(names))
			return nil
		})
	}
	return results, group.Wait()
}

// add adds what came of the examples of one rule.
func (r *Result) add(of *examples.Result) {
	rule := Rule{
		Name: of.Rule, Examples: len(of.Examples),
		Conforming: of.Seen.Conforming, Nonconforming: of.Seen.Nonconforming, Spared: of.Seen.Spared,
		Indeterminate: of.Seen.Evidence + of.Seen.Limit + of.Seen.State,
		Lines:         of.Lines, Reached: of.Reached,
	}
	before := len(r.Problems)
	for _, e := range of.Examples {
		for _, p := range e.Problems {
			r.Problems = append(r.Problems, Problem{File: p.File, Line: p.Line, Message: e.Name + ": " + p.Message})
		}
	}
	r.note(of.Problems...)
	rule.Problems = len(r.Problems) - before
	r.Rules = append(r.Rules, rule)
}

func (r *Result) note(problems ...examples.Problem) {
	for _, p := range problems {
		r.Problems = append(r.Problems, Problem(p))
	}
}

// failing counts the examples that are not met.
func failing(results []*examples.Result) int {
	n := 0
	for _, r := range results {
		for _, e := range r.Examples {
			if len(e.Problems) > 0 {
				n++
			}
		}
	}
	return n
}
