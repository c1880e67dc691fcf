package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"runtime"

	"github.com/visitgauge/visitgauge/engine/mutation"
	"github.com/visitgauge/visitgauge/engine/publish"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/review"
	"github.com/visitgauge/visitgauge/engine/ruletest"
)

// releaseChecks are what a draft in a policies folder must come through before it is
// released, as rules check and rules test say it. Progress is shown on a stream.
func releaseChecks(decoder *record.Decoder, policies string, stderr io.Writer) []publish.Check {
	return []publish.Check{
		{Name: "check", Run: func(ctx context.Context, c publish.Candidate) ([]publish.Finding, error) {
			shown := newStages(stderr)
			defer shown.end()
			found, err := review.Check(ctx, c.Files, decoder, review.Options{
				Workers:  runtime.GOMAXPROCS(0),
				Progress: func(done, of int) { shown.step("asking rules", done, of) },
				Resolves: resolver(filepath.Join(policies, c.Version)),
			})
			var out []publish.Finding
			for _, f := range found {
				out = append(out, publish.Finding{Check: "check, " + f.Check, What: at(f.File, f.Line, f.Message), Mend: f.Mend})
			}
			return out, err
		}},
		{Name: "test, mutation", Run: func(ctx context.Context, c publish.Candidate) ([]publish.Finding, error) {
			shown := newStages(stderr)
			defer shown.end()
			result, err := tested(ctx, c.Files, c.Set, decoder, ruletest.Options{Progress: shown.step})
			if err != nil {
				return nil, err
			}
			return testFindings(result), nil
		}},
	}
}

// testFindings are what the tests of a draft leave open.
func testFindings(r *ruletest.Result) []publish.Finding {
	var out []publish.Finding
	for _, p := range r.Problems {
		out = append(out, publish.Finding{Check: "test", What: at(p.File, p.Line, p.Message)})
	}
	if r.NotTried != "" {
		out = append(out, publish.Finding{Check: "mutation", What: "no changes were tried: " + r.NotTried})
	}
	if r.Mutation == nil {
		return out
	}
	for _, h := range r.Mutation.Holes {
		out = append(out, publish.Finding{Check: "mutation", What: at(h.File, h.Line, hole(h)), Mend: "add an example that would notice it, or list it in examples/unnoticed.yaml with the reason"})
	}
	for _, u := range r.Mutation.Unneeded {
		out = append(out, publish.Finding{Check: "mutation", What: at(u.File, u.Line, fmt.Sprintf("%s: %s %s: it is noticed, or no longer there", u.Rule, u.Text, u.What)), Mend: "remove the entry"})
	}
	return out
}

func hole(h mutation.Hole) string {
	return fmt.Sprintf("%s: no example notices %s %s", h.Rule, h.Text, h.What)
}

// at is a message with its place in a release.
func at(file string, line int, message string) string {
	switch {
	case file == "":
		return message
	case line == 0:
		return file + ": " + message
	}
	return fmt.Sprintf("%s:%d: %s", file, line, message)
}
