package reads

import (
	"fmt"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// flow follows values through the rules of one release.
type flow struct {
	places places
	input  *place
	data   *place
	groups map[string]*unit // all rules of one name, functions apart
	names  map[string][]*ast.Rule
	// packages are the first words below data that lead to rules.
	packages map[string]bool
	calls    map[string]*unit // functions, by what they are called with
	sites    map[siteKey]*built
}

// unit is what is evaluated as one: the rules of a name, or those of a function
// for one list of arguments.
type unit struct {
	name  string
	ref   ast.Ref // of rules, not of functions
	rules []*ast.Rule
	args  [][]loc
	value *cell
	vars  map[variable]*cell
	reads map[*place]bool // false where it is only taken, by its key, out of what was built
	uses  map[*unit]bool
	asks  map[ask]bool
	done  bool
}

// ask is what a rule takes out of something built by keys that are read from a place.
type ask struct {
	of   *built
	word string // the key, written out; empty where any may be meant
}

type variable struct {
	rule *ast.Rule
	name ast.Var
}

// siteKey tells apart what is built where.
type siteKey struct {
	unit *unit
	at   any // the term, or the way into the unit's root
}

func newFlow(set *ruleset.Set) (*flow, error) {
	f := &flow{
		places:   places{known: map[string]*place{}},
		packages: map[string]bool{}, groups: map[string]*unit{}, names: map[string][]*ast.Rule{}, calls: map[string]*unit{}, sites: map[siteKey]*built{},
	}
	var err error
	if f.input, err = f.places.input(); err != nil {
		return nil, err
	}
	f.data = f.places.ofData([]string{"data"}, []any{set.Data()})
	for _, m := range set.Compiler().Modules {
		for _, r := range m.Rules {
			name := m.Package.Path.String() + "." + ruleset.HeadName(r)
			f.names[name] = append(f.names[name], r)
			f.packages[constant(m.Package.Path[1])] = true
			if len(r.Head.Args) == 0 && f.groups[name] == nil {
				f.groups[name] = f.unit(name)
				f.groups[name].ref = append(m.Package.Path.Copy(), ast.StringTerm(ruleset.HeadName(r)))
			}
		}
	}
	for name, u := range f.groups {
		u.rules = f.names[name]
	}
	return f, nil
}

func (f *flow) unit(name string) *unit {
	return &unit{name: name, value: f.cell(), vars: map[variable]*cell{}, reads: map[*place]bool{}, uses: map[*unit]bool{}, asks: map[ask]bool{}}
}

func (f *flow) cell() *cell { return &cell{locs: map[loc]bool{}} }

// settled evaluates a unit when it is first asked for. Rules never lead back to
// themselves, so what a unit asks for is settled before it is.
func (f *flow) settled(u *unit) *unit {
	if u.done {
		return u
	}
	u.done = true
	for _, r := range u.rules {
		for rule := r; rule != nil; rule = rule.Else {
			f.rule(u, rule)
		}
	}
	return u
}

// scope is one rule while it is evaluated for a unit.
type scope struct {
	*flow
	unit *unit
	rule *ast.Rule
}

func (f *flow) rule(u *unit, r *ast.Rule) {
	s := scope{f, u, r}
	for i, a := range r.Head.Args {
		if i < len(u.args) {
			s.bind(a, u.args[i])
		}
	}
	s.body(r.Body)
	head := r.Head.Ref()
	multi := r.Head.RuleKind() == ast.MultiValue
	if len(head) <= 1 && !multi {
		if r.Head.Value != nil {
			u.value.addAll(s.eval(r.Head.Value))
		}
		return
	}
	at, way := f.site(u, "", false), ""
	u.value.add(at)
	var to *cell
	for i, t := range head[1:] {
		name := constant(t)
		way += "\x00" + name
		at.keys.addAll(s.eval(t))
		to = at.inside
		if name != "" {
			to = f.field(at, name)
		}
		if multi || i+2 < len(head) {
			next := f.site(u, way, false)
			to.add(next)
			at = next
		}
	}
	if multi {
		at.isSet = true
		at.inside.addAll(s.eval(r.Head.Key))
		return
	}
	to.addAll(s.eval(r.Head.Value))
}

// holding is what a term has built, if it holds anything of the input or the data;
// what was only computed is not followed.
func (b *built) holding() []loc {
	if len(b.inside.locs)+len(b.keys.locs) > 0 {
		return []loc{b}
	}
	for _, c := range b.fields {
		if len(c.locs) > 0 {
			return []loc{b}
		}
	}
	return nil
}

// site is what is built at one place of a unit, the same each time it is asked for.
func (f *flow) site(u *unit, at any, isSet bool) *built {
	key := siteKey{u, at}
	b, ok := f.sites[key]
	if !ok {
		b = &built{id: f.places.id(), fields: map[string]*cell{}, inside: f.cell(), keys: f.cell(), isSet: isSet, by: u}
		f.sites[key] = b
	}
	return b
}

func (f *flow) field(b *built, name string) *cell {
	c, ok := b.fields[name]
	if !ok {
		c = f.cell()
		b.fields[name] = c
	}
	return c
}

func (s scope) variable(v ast.Var) *cell {
	key := variable{s.rule, v}
	c, ok := s.unit.vars[key]
	if !ok {
		c = s.cell()
		s.unit.vars[key] = c
	}
	return c
}

// step is where a step leads, as into says, and takes down by which key it is taken.
func (s scope) step(locs []loc, name string) []loc {
	for _, l := range locs {
		if b, ok := l.(*built); ok && len(b.keys.locs) > 0 {
			s.unit.asks[ask{b, name}] = true
		}
	}
	return s.into(locs, name)
}

// into is where a step leads: by a name or index written out, or by any where name
// is empty.
func (f *flow) into(locs []loc, name string) []loc {
	var out []loc
	for _, l := range locs {
		switch l := l.(type) {
		case *place:
			if name == "" {
				for _, p := range l.every() {
					out = append(out, p)
				}
				continue
			}
			if p := l.member(name); p != nil {
				out = append(out, p)
			} else if p := l.element(name); p != nil {
				out = append(out, p)
			}
		case *built:
			out = append(out, l.inside.list()...)
			if name != "" {
				if c, ok := l.fields[name]; ok {
					out = append(out, c.list()...)
				}
				continue
			}
			for _, c := range l.fields {
				out = append(out, c.list()...)
			}
		}
	}
	return out
}

// element is the place of an element of an array by its index; nil if there is none.
func (p *place) element(index string) *place {
	if strings.Trim(index, "0123456789") != "" {
		return nil
	}
	for _, inner := range p.every() {
		if inner.path[len(inner.path)-1] == "*" {
			return inner
		}
	}
	return nil
}

// named are the keys by which the members can be asked for.
func named(locs []loc) []loc {
	var out []loc
	for _, l := range locs {
		if b, ok := l.(*built); ok {
			out = append(out, b.keys.list()...)
			if b.isSet {
				out = append(out, b.inside.list()...)
			}
		}
	}
	return out
}

// called is the unit of a function for its arguments.
func (f *flow) called(name string, args [][]loc) *unit {
	key := name
	for _, arg := range args {
		var numbers []int
		for _, l := range arg {
			numbers = append(numbers, l.number())
		}
		slices.Sort(numbers)
		key += fmt.Sprint(slices.Compact(numbers))
	}
	u, ok := f.calls[key]
	if !ok {
		u = f.unit(name)
		u.rules, u.args = f.names[name], args
		f.calls[key] = u
	}
	return f.settled(u)
}

// constant is a name or index that is written out; empty if it is not.
func constant(t *ast.Term) string {
	switch v := t.Value.(type) {
	case ast.String:
		return string(v)
	case ast.Number:
		return v.String()
	}
	return ""
}
