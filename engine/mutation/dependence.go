package mutation

import (
	"fmt"
	"io/fs"
	"slices"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// outcomeParts are the parts of a rule that its outcomes come of.
var outcomeParts = []string{
	ruleset.Subjects, ruleset.Spared, ruleset.Conforming, ruleset.Nonconforming,
	ruleset.TooClose, ruleset.NotPossible, ruleset.Severity,
}

// classDocument is the helper by which rules read the class of the machine that was
// visited.
var classDocument = ruleset.Reference("data.shared.visit.class")

// classOfVisit tells whether that helper is this class and no other, in one rule. If it
// is, what a rule reads of it is seen where the rule reads it.
func classOfVisit(release fs.FS, c *ast.Compiler) (bool, error) {
	only := ast.MustParseModule("package shared.visit\n\nclass := data.classes[input.visit.machine.class]").Rules[0]
	defined := c.GetRulesWithPrefix(classDocument)
	if len(defined) != 1 {
		return false, nil
	}
	m, err := parsed(release, defined[0].Location.File)
	if err != nil {
		return false, err
	}
	return slices.ContainsFunc(m.Rules, func(r *ast.Rule) bool { return r.Equal(only) }), nil
}

// dependence is what the outcomes of one rule can depend on, read off the compiled
// rules. What it only learns from the outcomes of other rules is left out: a
// change there is for the examples of those to notice.
type dependence struct {
	places map[string]bool // of rules and helpers
	// What is read, with variables where that is found out late: below data, and below
	// the class of the machine that was visited.
	data, class []ast.Ref
}

// newDependence follows a rule through the compiled rules. What it reads by
// classDocument is of the class of the machine, if that is what the helper gives.
func newDependence(c *ast.Compiler, name string, ofVisit bool) *dependence {
	d := &dependence{places: map[string]bool{}}
	for r := range reached(c, name) {
		d.places[placeOf(r.Location)] = true
		if ofVisit && r.Ref().GroundPrefix().Equal(classDocument) {
			continue // what is read of it is seen where it is used
		}
		ast.WalkRefs(r, func(ref ast.Ref) bool {
			switch {
			case ofVisit && ref.HasPrefix(classDocument):
				d.class = append(d.class, ref[len(classDocument):])
			case ref.HasPrefix(ast.Ref{ast.DefaultRootDocument}):
				d.data = append(d.data, ref[1:])
			}
			return false
		})
	}
	return d
}

// reached are the rules and helpers that the outcomes of a rule depend on.
func reached(c *ast.Compiler, name string) map[*ast.Rule]bool {
	seen := map[*ast.Rule]bool{}
	own := ruleset.Reference("data." + name)
	shared := ruleset.Reference("data.shared")
	var reach func(r *ast.Rule)
	reach = func(r *ast.Rule) {
		path := r.Module.Package.Path
		if seen[r] || !path.HasPrefix(shared) && !path.Equal(own) {
			return
		}
		seen[r] = true
		for dependency := range c.Graph.Dependencies(r) {
			if d, ok := dependency.(*ast.Rule); ok {
				reach(d)
			}
		}
	}
	for _, part := range outcomeParts {
		for _, r := range c.GetRulesWithPrefix(ruleset.Reference("data." + name + "." + part)) {
			reach(r)
		}
	}
	return seen
}

// reads tells whether a number at a path below data can matter.
func (d *dependence) reads(path []string) bool {
	return leadsTo(d.data, path) || d.readsOfClass(path)
}

// readsFor tells the same for a visit to a machine of a class.
func (d *dependence) readsFor(class string, path []string) bool {
	return leadsTo(d.data, path) || d.readsOfClass(path) && path[1] == class
}

func (d *dependence) readsOfClass(path []string) bool {
	return path[0] == "classes" && leadsTo(d.class, path[2:])
}

// leadsTo tells whether any of the references can lead to a place, to what holds it, or
// into it.
func leadsTo(refs []ast.Ref, path []string) bool {
	return slices.ContainsFunc(refs, func(ref ast.Ref) bool {
		for i, t := range ref {
			if i == len(path) {
				break
			}
			if s, ok := t.Value.(ast.String); ok && string(s) != path[i] {
				return false
			}
		}
		return true
	})
}

func placeOf(at *ast.Location) string { return fmt.Sprintf("%s:%d:%d", at.File, at.Row, at.Col) }
