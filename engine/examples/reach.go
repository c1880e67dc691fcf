package examples

import (
	"fmt"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/cover"
)

// span is a place in a file that is reached or not as a whole.
type span struct{ row, col, endRow, endCol int }

// unreached are the places of a file that an evaluation did not come by. Rules
// that say of themselves that they never hold are left out.
func unreached(tracer *cover.Cover, file string, module *ast.Module) []span {
	never := neverHold(module)
	report := tracer.Report(map[string]*ast.Module{file: module})
	var out []span
	for _, r := range report.Files[file].NotCovered {
		if !never[r.Start.Row] {
			out = append(out, span{r.Start.Row, r.Start.Col, r.End.Row, r.End.Col})
		}
	}
	return out
}

// neverHold are the lines of rules with a bare false among their conditions. It is
// how a rule writes down that nothing can be meant by a part of the contract:
// spared contains "…" if false.
func neverHold(module *ast.Module) map[int]bool {
	lines := map[int]bool{}
	for _, rule := range module.Rules {
		constant := slices.ContainsFunc(rule.Body, func(e *ast.Expr) bool {
			t, ok := e.Terms.(*ast.Term)
			return ok && !e.Negated && t.Value.Compare(ast.Boolean(false)) == 0
		})
		if !constant {
			continue
		}
		first := rule.Location.Row
		for i := range strings.Count(string(rule.Location.Text), "\n") + 1 {
			lines[first+i] = true
		}
	}
	return lines
}

// forPages are the shared files that no rule reads: they lay out what a page shows
// beside a verdict, so that no example can reach them.
var forPages = []string{"shared/due.rego", "shared/sheet.rego"}

// reach adds to the result the lines of the rule's file that none of its examples
// reached, and keeps what it left unreached of the shared files.
func (r *Runner) reach(result *Result, tracer *cover.Cover) {
	module := r.modules[result.RuleFile]
	missed := lines(unreached(tracer, result.RuleFile, module))
	result.Lines = len(lines(unreached(cover.New(), result.RuleFile, module)))
	result.Reached = result.Lines - len(missed)
	for _, line := range missed {
		result.Problems = append(result.Problems, Problem{File: result.RuleFile, Line: line,
			Message: "no example reaches " + r.source(result.RuleFile, line)})
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	for file, module := range r.modules {
		if !strings.HasPrefix(file, "shared/") || slices.Contains(forPages, file) {
			continue
		}
		missed := unreached(tracer, file, module)
		if before, ok := r.shared[file]; ok {
			missed = slices.DeleteFunc(before, func(s span) bool { return !slices.Contains(missed, s) })
		}
		r.shared[file] = missed
	}
}

// Shared says which lines of the shared files no example of any rule reached. It
// answers for the rules that were run; complete tells whether those are all.
func (r *Runner) Shared() (problems []Problem, complete bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for file, missed := range r.shared {
		for _, line := range lines(missed) {
			problems = append(problems, Problem{File: file, Line: line, Message: "no example of any rule reaches " + r.source(file, line)})
		}
	}
	slices.SortFunc(problems, func(a, b Problem) int {
		if c := strings.Compare(a.File, b.File); c != 0 {
			return c
		}
		return a.Line - b.Line
	})
	for _, name := range r.Rules() {
		if _, ran := r.kept[name]; !ran {
			return problems, false
		}
	}
	return problems, true
}

// lines are the first lines of the places, each once.
func lines(spans []span) []int {
	var out []int
	for _, s := range spans {
		out = append(out, s.row)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// longest is how much of a line is shown, in characters.
const longest = 100

// source is a line of a file as it is written.
func (r *Runner) source(file string, line int) string {
	text := strings.Split(string(r.sources[file]), "\n")
	if line < 1 || line > len(text) {
		return fmt.Sprintf("line %d", line)
	}
	code := []rune(strings.TrimSpace(text[line-1]))
	if len(code) > longest {
		code = append(code[:longest], '…')
	}
	return string(code)
}
