package ruleset

import (
	"fmt"
	"slices"

	"github.com/open-policy-agent/opa/v1/ast"
)

// contract lists the parts of a rule and how each must be written.
var contract = []struct {
	name     string
	required bool
	form     string // as its author must write it
	set      bool   // values are collected with contains
	keyed    bool   // by subject
}{
	{Subjects, true, "subjects contains … if …", true, false},
	{Spared, true, "spared contains … if …", true, false},
	{Conforming, true, "conforming contains … if …", true, false},
	{Nonconforming, true, "nonconforming contains … if …", true, false},
	{TooClose, false, "too_close contains … if …", true, false},
	{NotPossible, false, "not_possible contains … if …", true, false},
	{Facts, false, "facts[subject] contains … if …", true, true},
	{Severity, false, "severity[subject] := … if …", false, true},
}

// entryPoints are what the engine reads of a release beside its rules.
var entryPoints = []string{
	"data.shared.followup.followed_up",
	"data.shared.visit.completion",
	"data.shared.visit.cause",
}

func contractNames() []string {
	names := make([]string, len(contract))
	for i, c := range contract {
		names[i] = c.name
	}
	return names
}

// checkPackages demands that the package of a file is the one its path names,
// and that no two files share a package.
func (l *loader) checkPackages() {
	byPackage := map[string]module{}
	for _, m := range l.modules {
		pkg := PackageName(m.parsed)
		at := m.parsed.Package.Location
		if first, ok := byPackage[pkg]; ok {
			l.add(Problem{File: m.file, Line: at.Row, Column: at.Col,
				Message: fmt.Sprintf("package %s is already that of %s", pkg, first.file),
				Mend:    "a rule is one file and one package: name this one " + m.pkg})
			continue
		}
		byPackage[pkg] = m
		if pkg != m.pkg {
			l.add(Problem{File: m.file, Line: at.Row, Column: at.Col,
				Message: fmt.Sprintf("the package is %s, the file's path says %s", pkg, m.pkg),
				Mend:    "make them the same, for the name of a rule is its place"})
		}
	}
}

// checkShapes demands the parts of the contract, each in its form, of every
// rule file, and what the engine reads of the shared ones.
func (l *loader) checkShapes() {
	defined := map[string]bool{}
	for _, m := range l.modules {
		for _, r := range m.parsed.Rules {
			defined["data."+m.pkg+"."+HeadName(r)] = true
		}
		if m.kind == ruleFile {
			l.checkContract(m)
		}
	}
	for _, entry := range entryPoints {
		if !defined[entry] {
			l.add(Problem{Message: "the release does not define " + entry + ", which the engine reads", Mend: "define it in shared/"})
		}
	}
}

func (l *loader) checkContract(m module) {
	byName := map[string][]*ast.Rule{}
	for _, r := range m.parsed.Rules {
		byName[HeadName(r)] = append(byName[HeadName(r)], r)
	}
	for _, part := range contract {
		rules := byName[part.name]
		if len(rules) == 0 && part.required {
			l.add(Problem{File: m.file, Line: m.parsed.Package.Location.Row,
				Message: fmt.Sprintf("the rule has no %s", part.name),
				Mend:    "write " + part.form + ", or, where there can be none, " + part.name + " := set()"})
		}
		for _, r := range rules {
			if part.set && !part.keyed && isEmptySet(r) {
				continue // as in spared := set()
			}
			length := 1
			if part.keyed {
				length = 2
			}
			isSet := r.Head.RuleKind() == ast.MultiValue
			if len(r.Head.Ref()) != length || isSet != part.set || r.Default || len(r.Head.Args) > 0 {
				l.add(Problem{File: m.file, Line: r.Location.Row, Column: r.Location.Col,
					Message: part.name + " is not written as the contract has it",
					Mend:    "write " + part.form})
			}
		}
	}
}

// isEmptySet recognises name := set().
func isEmptySet(r *ast.Rule) bool {
	if len(r.Head.Ref()) != 1 || len(r.Head.Args) > 0 || r.Else != nil || r.Head.Value == nil || r.Default {
		return false
	}
	set, ok := r.Head.Value.Value.(ast.Set)
	if call, isCall := r.Head.Value.Value.(ast.Call); isCall { // set() is a call until it is compiled
		ok, set = len(call) == 1 && call[0].String() == "set", ast.NewSet()
	}
	return ok && set.Len() == 0 && len(r.Body) == 1 && r.Body[0].Equal(ast.NewExpr(ast.BooleanTerm(true)))
}

// checkUnused finds helpers that no part of any contract leads to: mostly a
// misspelt name of an optional part.
func (l *loader) checkUnused(c *ast.Compiler) {
	reached := map[*ast.Rule]bool{}
	for _, m := range l.modules {
		for _, r := range c.Modules[m.file].Rules {
			if m.kind == sharedFile || slices.Contains(contractNames(), HeadName(r)) {
				reach(c, r, reached, func(*ast.Rule) bool { return true })
			}
		}
	}
	for _, m := range l.modules {
		if m.kind != ruleFile {
			continue
		}
		told := map[string]bool{}
		for _, r := range c.Modules[m.file].Rules {
			name := HeadName(r)
			if reached[r] || told[name] {
				continue
			}
			told[name] = true
			mend := "remove it, or use it"
			if near := nearest(name, contractNames()); near != "" {
				mend = fmt.Sprintf("did you mean %q?", near)
			}
			l.add(Problem{File: m.file, Line: r.Location.Row, Column: r.Location.Col, Message: name + " is used by nothing", Mend: mend})
		}
	}
}

// reach collects a rule and all rules that it depends on, as far as they are to
// be followed.
func reach(c *ast.Compiler, r *ast.Rule, seen map[*ast.Rule]bool, follow func(*ast.Rule) bool) {
	if seen[r] || !follow(r) {
		return
	}
	seen[r] = true
	for dependency := range c.Graph.Dependencies(r) {
		if d, ok := dependency.(*ast.Rule); ok {
			reach(c, d, seen, follow)
		}
	}
}
