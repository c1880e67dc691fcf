package review

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"sync"

	"github.com/open-policy-agent/opa/v1/ast"
	"golang.org/x/sync/errgroup"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// bothMend is how a rule that answers two ways is put right.
const bothMend = "let one of the two ask for what the other rules out"

// alike finds rules of which a body of conforming asks for all that one of
// nonconforming asks for, or the other way round, as they are written: where the
// longer holds, both do.
func (r *reviewer) alike() error {
	for _, rule := range r.set.Rules() {
		file := fileOf(rule.Name)
		source, err := fs.ReadFile(r.files, file)
		if err != nil {
			return fmt.Errorf("reading rule %s: %w", rule.Name, err)
		}
		module, err := ast.ParseModule(file, string(source))
		if err != nil {
			return fmt.Errorf("reading rule %s: %w", rule.Name, err)
		}
		good, bad := bodies(module, ruleset.Conforming), bodies(module, ruleset.Nonconforming)
		for _, g := range good {
			for _, b := range bad {
				if g.within(b) || b.within(g) {
					r.add(Both, file, b.line, fmt.Sprintf("where this body of nonconforming holds, so does conforming on line %d, or the other way round", g.line), bothMend)
				}
			}
		}
	}
	return nil
}

// body is what one body of a rule asks for, the subject called alike in all.
type body struct {
	line  int
	asked []string
}

func bodies(module *ast.Module, part string) []body {
	var out []body
	for _, rule := range module.Rules {
		if rule.Head.Name.String() != part || rule.Head.Key == nil {
			continue
		}
		one := body{line: rule.Location.Row}
		rename := func(text string) string { return text }
		if subject, ok := rule.Head.Key.Value.(ast.Var); ok {
			whole := regexp.MustCompile(`\b` + regexp.QuoteMeta(string(subject)) + `\b`)
			rename = func(text string) string { return whole.ReplaceAllString(text, "subject") }
		} else {
			one.asked = append(one.asked, "subject: "+rule.Head.Key.String())
		}
		for _, e := range rule.Body {
			one.asked = append(one.asked, rename(e.String()))
		}
		out = append(out, one)
	}
	return out
}

func (b body) within(other body) bool {
	return !slices.ContainsFunc(b.asked, func(e string) bool { return !slices.Contains(other.asked, e) })
}

// mixed is how many pairs of its examples a rule is asked about at most.
const mixed = 12

// ask puts their examples before the rules, pairs of them mixed, and the base visits
// before all rules together.
func (r *reviewer) ask(ctx context.Context) error {
	rules := r.set.Rules()
	var mu sync.Mutex
	done := 0
	group, one := errgroup.WithContext(ctx)
	group.SetLimit(max(1, r.opt.Workers))
	for _, rule := range rules {
		group.Go(func() error {
			found, err := r.askOne(one, rule)
			mu.Lock()
			defer mu.Unlock()
			r.findings = append(r.findings, found...)
			done++
			if r.opt.Progress != nil {
				r.opt.Progress(done, len(rules))
			}
			return err
		})
	}
	if err := group.Wait(); err != nil {
		return err
	}
	return r.askBases(ctx)
}

// askOne asks one rule.
func (r *reviewer) askOne(ctx context.Context, rule ruleset.Rule) ([]Finding, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	single, err := judge.NewSingle(ctx, r.set, rule.Name)
	if err != nil {
		return nil, err
	}
	cases, err := r.runner.Cases(rule.Name)
	if err != nil {
		return nil, err
	}
	seen := map[string]bool{} // each kind of finding once a rule, by the first example
	var out []Finding
	add := func(kind, check, file string, line int, message, mend string) {
		if !seen[kind] {
			seen[kind] = true
			out = append(out, Finding{check, file, line, message, mend})
		}
	}
	examplesFile := "examples/" + strings.ReplaceAll(rule.Name, ".", "/") + ".yaml"
	look := func(c examples.Case, words bool) error {
		answer, err := single.Judge(ctx, c.Case, nil)
		var fault *judge.Fault
		switch {
		case errors.As(err, &fault):
			add("fault", Both, fileOf(rule.Name), r.partLine(rule.Name), fmt.Sprintf("asked about example %q (line %d of its examples), the rule is at fault: %s", c.Name, c.Line, fault.Error()), bothMend)
			return nil
		case err != nil:
			return err
		}
		if !words {
			return nil
		}
		for _, o := range answer.Outcomes {
			for _, gap := range gaps(rule, o) {
				add("gap "+gap, Wording, examplesFile, c.Line, fmt.Sprintf("example %q leaves {%s} of the rule's %s text empty for %s: %s", c.Name, gap, o.Outcome, o.Subject, o.Statement),
					"give the fact, or say it in a sentence that can do without")
			}
		}
		return nil
	}
	for _, c := range cases {
		if err := look(c, true); err != nil {
			return nil, err
		}
	}
	tried := 0
	for i, one := range cases {
		// Neighbours in a file are most alike: a step further each time.
		other := cases[(i*2+1+len(cases)/2)%len(cases)]
		c, ok := r.runner.Mixed(one, other)
		if i == (i*2+1+len(cases)/2)%len(cases) || !ok {
			continue
		}
		if tried++; tried > mixed {
			break
		}
		if err := look(c, false); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// perhaps is a part of a rule's texts in square brackets.
var perhaps = regexp.MustCompile(`\[[^\[\]]*\]`)

// gaps are the placeholders of the text of an outcome that no fact fills.
func gaps(rule ruleset.Rule, o verdict.Outcome) []string {
	if !o.Finding() {
		return nil
	}
	texts := judge.Template(rule, o)
	if o.Outcome == verdict.Nonconforming {
		texts += rule.Remedy
	}
	// A part in square brackets is only said where its facts are there; the loader
	// has checked the braces.
	names, _ := ruleset.Placeholders(perhaps.ReplaceAllString(texts, ""))
	var out []string
	for _, name := range names {
		filled := name == ruleset.SubjectPlaceholder
		for _, f := range o.Facts {
			filled = filled || f.Name == name && !strings.Contains(f.Text, judge.NotRecorded)
		}
		if !filled && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// partLine is the line of a rule's file on which nonconforming begins.
func (r *reviewer) partLine(rule string) int {
	for _, part := range r.set.Compiler().Modules[fileOf(rule)].Rules {
		if part.Head.Name.String() == ruleset.Nonconforming {
			return part.Location.Row
		}
	}
	return 1
}

// askBases puts the base visits before all rules together.
func (r *reviewer) askBases(ctx context.Context) error {
	all, err := judge.New(ctx, r.set)
	if err != nil {
		return err
	}
	bases, err := r.runner.Bases()
	if err != nil {
		return err
	}
	for _, c := range bases {
		_, err := all.Judge(ctx, c.Case)
		var fault *judge.Fault
		if errors.As(err, &fault) {
			r.add(Both, "examples/base/"+c.Name+".json", 1, "asked about this visit, a rule is at fault: "+fault.Error(), bothMend)
			continue
		}
		if err != nil {
			return err
		}
	}
	return nil
}
