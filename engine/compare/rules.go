package compare

import (
	"maps"
	"reflect"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/turn"
)

// The values of RuleChange.Kinds besides the names of graded fields: severity,
// concession, who and since.
const (
	KindWording = "wording"
	KindFacts   = "facts" // what its texts are filled with
	KindLogic   = "logic"
)

// metadata are the fields of a rule that are compared, and whether they are texts
// for people alone.
func metadata(r ruleset.Rule) []struct {
	name, value string
	graded      bool
} {
	sources := make([]string, len(r.Sources))
	for i, s := range r.Sources {
		sources[i] = strings.TrimSpace(s.Ref + " " + s.Description)
	}
	return []struct {
		name, value string
		graded      bool
	}{
		{"title", r.Title, false}, {"description", r.Description, false},
		{"sources", strings.Join(sources, "; "), false}, {"basis", r.Basis, false},
		{"severity", r.Severity, true},
		{"says", r.Says, false}, {"needs", r.Needs, false}, {"needs_state", r.NeedsState, false}, {"needs_limit", r.NeedsLimit, false},
		{"remedy", r.Remedy, false}, {"who", r.Who, true}, {"concession", r.Concession, true},
		{"cautions", strings.Join(r.Cautions, "; "), false}, {"since", r.Since, true},
	}
}

// ruleChange compares a rule that both releases have. It is nil if neither the
// rule nor anything it reads differs.
func ruleChange(a, b *side, name string) *RuleChange {
	old, now := a.rules[name], b.rules[name]
	c := &RuleChange{Name: name, Title: now.Title, Severity: now.Severity, Kinds: []string{}, Fields: []Field{}, Parts: []string{}, Effect: Effect{Direction: turn.None, Turned: []turn.Turn{}}}
	kinds := map[string]bool{}
	was := metadata(old)
	for i, f := range metadata(now) {
		if flat(f.value) == flat(was[i].value) {
			continue
		}
		c.Fields = append(c.Fields, Field{Field: f.name, Old: flat(was[i].value), New: flat(f.value)})
		if f.graded {
			kinds[f.name] = true
		} else {
			kinds[KindWording] = true
		}
	}
	defined := union(toSet(a.defined[name]), toSet(b.defined[name]))
	for _, full := range defined {
		if sameText(a, b, full) {
			continue
		}
		part := full[len(name)+1:]
		c.Parts = append(c.Parts, part)
		if part == ruleset.Facts {
			kinds[KindFacts] = true
		} else {
			kinds[KindLogic] = true
		}
	}
	c.Kinds = append(c.Kinds, slices.Sorted(maps.Keys(kinds))...)
	c.Reads = differingReads(a, b, name, defined)
	if len(c.Kinds) == 0 && len(c.Reads) == 0 {
		return nil
	}
	return c
}

// flat is a text without its line breaks, which make no difference in print.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

func toSet(list []string) map[string]bool {
	out := map[string]bool{}
	for _, e := range list {
		out[e] = true
	}
	return out
}

// differingReads lists what differs of what some names of a package read, outside
// the package.
func differingReads(a, b *side, pkg string, from []string) []string {
	names, data := map[string]bool{}, map[string]bool{}
	for _, s := range []*side{a, b} {
		n, d := s.reads.all(from...)
		maps.Copy(names, n)
		maps.Copy(data, d)
	}
	found := map[string]bool{}
	for name := range names {
		owner := name[:strings.LastIndexByte(name, '.')]
		if owner == pkg || sameText(a, b, name) {
			continue
		}
		if !strings.HasPrefix(name, "shared.") {
			name = owner // a rule is read as a whole
		}
		found[name] = true
	}
	for path := range data {
		if sameValue(at(a.Set.Data(), path), at(b.Set.Data(), path)) {
			continue
		}
		found[path] = true
	}
	return append([]string{}, slices.Sorted(maps.Keys(found))...)
}

// exampleCount compares the examples by rule and name.
func exampleCount(a, b *side) ExampleCount {
	var n ExampleCount
	for _, rule := range union(a.examples, b.examples) {
		old, now := a.examples[rule], b.examples[rule]
		for _, name := range union(old, now) {
			o, wasThere := old[name]
			e, isThere := now[name]
			switch {
			case !wasThere:
				n.Added++
			case !isThere:
				n.Dropped++
			case !reflect.DeepEqual(o, e):
				n.Changed++
			}
		}
	}
	return n
}
