package compare

import (
	"maps"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/util"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// sections are the data of a release that rules read.
var sections = []string{"limits", "steps", "classes", "units", "catalogue"}

// reading is what each name of a release reads, directly: other names, and paths
// of data. A path ends where what follows depends on the record.
type reading struct {
	names map[string]map[string]bool
	data  map[string]map[string]bool
}

// readingOf follows the references of the compiled rules.
func readingOf(c *ast.Compiler) reading {
	r := reading{names: map[string]map[string]bool{}, data: map[string]map[string]bool{}}
	for _, module := range c.Modules {
		pkg := ruleset.PackageName(module)
		for _, rule := range module.Rules {
			r.follow(c, pkg+"."+ruleset.HeadName(rule), rule)
		}
	}
	return r
}

func (r reading) follow(c *ast.Compiler, name string, rule *ast.Rule) {
	if r.names[name] == nil {
		r.names[name], r.data[name] = map[string]bool{}, map[string]bool{}
	}
	for part := rule; part != nil; part = part.Else {
		for dependency := range c.Graph.Dependencies(util.T(part)) {
			on := dependency.(*ast.Rule)
			r.names[name][ruleset.PackageName(on.Module)+"."+ruleset.HeadName(on)] = true
		}
	}
	ast.WalkRefs(rule, func(ref ast.Ref) bool {
		path := ref.ConstantPrefix()
		if len(path) < 2 || !path[0].Equal(ast.DefaultRootDocument) {
			return false
		}
		var parts []string
		for _, t := range path[1:] {
			s, ok := t.Value.(ast.String)
			if !ok {
				break
			}
			parts = append(parts, string(s))
		}
		if len(parts) > 0 && slices.Contains(sections, parts[0]) {
			r.data[name][strings.Join(parts, ".")] = true
		}
		return false
	})
}

// all are the names and paths of data that some names read, directly or by way of
// others, the names themselves among them.
func (r reading) all(from ...string) (names, data map[string]bool) {
	names, data = map[string]bool{}, map[string]bool{}
	for len(from) > 0 {
		name := from[0]
		from = from[1:]
		if names[name] {
			continue
		}
		names[name] = true
		maps.Copy(data, r.data[name])
		from = append(from, slices.Collect(maps.Keys(r.names[name]))...)
	}
	return names, data
}

// A reach is what a rule reads, directly or by way of others.
type reach struct{ names, data map[string]bool }

// reached gives what each rule reads.
func (s *side) reached() map[string]reach {
	out := map[string]reach{}
	for rule := range s.rules {
		names, data := s.reads.all(s.defined[rule]...)
		out[rule] = reach{names, data}
	}
	return out
}
