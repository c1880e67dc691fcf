package reads

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Reads knows what each rule of a release reads.
type Reads struct {
	set  *ruleset.Set
	flow *flow

	once  sync.Once
	rules []ruleReads // sorted by name, found when first asked for
}

type ruleReads struct {
	name  string
	paths []Path
}

// Find follows the rules of a release. The set must be one without native
// functions, whose insides cannot be followed.
func Find(set *ruleset.Set) (*Reads, error) {
	f, err := newFlow(set)
	if err != nil {
		return nil, fmt.Errorf("finding what the rules of release %s read: %w", set.Version(), err)
	}
	for _, u := range f.groups {
		f.settled(u)
	}
	return &Reads{set: set, flow: f}, nil
}

// Path is the way to a place below input or data, which is its first word; * stands
// for each element of an array.
type Path []string

// Under tells whether the path leads to, or below, the words given.
func (p Path) Under(words ...string) bool {
	return len(p) >= len(words) && slices.Equal(p[:len(words)], words)
}

// String is the path with dots, as it stands in rules.
func (p Path) String() string { return strings.Join(p, ".") }

// parts are the parts of a rule's contract.
var parts = []string{
	ruleset.Subjects, ruleset.Spared, ruleset.Conforming, ruleset.Nonconforming,
	ruleset.TooClose, ruleset.NotPossible, ruleset.Severity, ruleset.Facts,
}

// Use is what rules read and what they use.
type Use struct {
	// Paths are what is read: sorted, each once, and no object or array of which
	// something inside is listed.
	Paths []Path
	// Helpers are the text of every shared rule and function that is used, by
	// name.
	Helpers map[string]string
}

// Rule finds what one rule reads, its facts included, whether itself or through
// helpers. What other rules read whose answers it takes is theirs.
func (r *Reads) Rule(name string) Use {
	var roots []*unit
	for _, part := range parts {
		if u, ok := r.flow.groups["data."+name+"."+part]; ok {
			roots = append(roots, u)
		}
	}
	return r.below(roots)
}

// All finds what all rules together read, and what the engine asks a release
// besides.
func (r *Reads) All() Use {
	var roots []*unit
	for _, u := range r.flow.groups {
		roots = append(roots, u)
	}
	return r.below(roots)
}

// About is what the schema of a record says of the place that a path leads to.
func (r *Reads) About(path Path) string {
	if at := r.at(path); at != nil {
		return at.about
	}
	return ""
}

// Words are the words that the schema of a record allows at the place that a path
// leads to; none where it allows others.
func (r *Reads) Words(path Path) []string {
	if at := r.at(path); at != nil {
		return slices.Clone(at.words)
	}
	return nil
}

// at is the place in the input that a path leads to; nil if there is none.
func (r *Reads) at(path Path) *place {
	if path[0] != "input" {
		return nil
	}
	at := r.flow.input
	for _, token := range path[1:] {
		next := at.member(token)
		if token == "*" {
			next = at.element("0")
		}
		if at = next; at == nil {
			return nil
		}
	}
	return at
}

// Readers are the rules that read what a path of the record leads to, or all that
// holds it, or something inside of it: sorted by name.
func (r *Reads) Readers(path Path) []string {
	r.once.Do(func() {
		for _, rule := range r.set.Rules() {
			r.rules = append(r.rules, ruleReads{rule.Name, r.Rule(rule.Name).Paths})
		}
	})
	var out []string
	for _, rule := range r.rules {
		if slices.ContainsFunc(rule.paths, func(p Path) bool { return p.Under(path...) || path.Under(p...) }) {
			out = append(out, rule.name)
		}
	}
	return out
}

// below finds what units read and use, themselves and through others.
func (r *Reads) below(roots []*unit) Use {
	seen := map[*unit]bool{}
	use := Use{Helpers: map[string]string{}}
	read := map[string]Path{}
	var visit func(u *unit)
	visit = func(u *unit) {
		if seen[u] || !u.shared() && !helps(roots, u) {
			return
		}
		seen[u] = true
		for p := range u.reads {
			read[strings.Join(p.path, "\x00")] = p.path
		}
		if u.shared() {
			use.Helpers[strings.TrimPrefix(u.name, "data.")] = u.text()
		}
		for next := range u.uses {
			visit(next)
		}
	}
	for _, u := range roots {
		visit(u)
	}
	outer := map[string]bool{} // what something inside of is read
	for _, path := range read {
		for i := 1; i < len(path); i++ {
			outer[strings.Join(path[:i], "\x00")] = true
		}
	}
	for key, path := range read {
		if !outer[key] {
			use.Paths = append(use.Paths, path)
		}
	}
	slices.SortFunc(use.Paths, func(a, b Path) int { return slices.Compare(a, b) })
	return use
}

// shared tells helpers from the parts of rules.
func (u *unit) shared() bool { return strings.HasPrefix(u.name, "data.shared.") }

// text is what is written of a unit's rules.
func (u *unit) text() string {
	var texts []string
	for _, rule := range u.rules {
		texts = append(texts, string(rule.Location.Text))
	}
	slices.Sort(texts)
	return strings.Join(texts, "\n\n")
}

// helps tells whether a unit belongs to the same rule file as the roots do.
func helps(roots []*unit, u *unit) bool {
	pkg := u.name[:strings.LastIndexByte(u.name, '.')]
	return slices.ContainsFunc(roots, func(r *unit) bool { return strings.HasPrefix(r.name, pkg+".") })
}
