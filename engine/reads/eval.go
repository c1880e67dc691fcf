package reads

import (
	"slices"

	"github.com/open-policy-agent/opa/v1/ast"
)

func (s scope) body(body ast.Body) {
	for _, e := range body {
		switch terms := e.Terms.(type) {
		case *ast.Term:
			s.eval(terms)
		case []*ast.Term:
			s.expression(terms)
		case *ast.Every:
			domain := s.eval(terms.Domain)
			if terms.Key != nil {
				s.bind(terms.Key, named(domain))
			}
			s.bind(terms.Value, s.step(domain, ""))
			s.body(terms.Body)
		}
	}
}

// expression evaluates an operator with its arguments, of which the last may be
// where the answer goes.
func (s scope) expression(terms []*ast.Term) {
	operator := terms[0].String()
	if operator == ast.Equality.Name || operator == ast.Assign.Name {
		s.bind(terms[1], s.eval(terms[2]))
		s.bind(terms[2], s.eval(terms[1]))
		return
	}
	args := terms[1:]
	arity := len(args)
	if b, ok := ast.BuiltinMap[operator]; ok {
		arity = b.Decl.Arity()
	} else if rules := s.names[operator]; len(rules) > 0 {
		arity = len(rules[0].Head.Args)
	}
	answer := s.call(operator, args[:min(arity, len(args))])
	if len(args) > arity {
		s.bind(args[arity], answer)
	}
}

// bind gives the variables of a pattern what they can be.
func (s scope) bind(pattern *ast.Term, locs []loc) {
	switch v := pattern.Value.(type) {
	case ast.Var:
		s.variable(v).addAll(locs)
	case *ast.Array:
		for i := range v.Len() {
			s.bind(v.Elem(i), s.step(locs, ast.IntNumberTerm(i).String()))
		}
	case ast.Object:
		v.Foreach(func(key, value *ast.Term) { s.bind(value, s.step(locs, constant(key))) })
	}
}

// eval is what a term can be. It takes down what is read on the way.
func (s scope) eval(t *ast.Term) []loc {
	switch v := t.Value.(type) {
	case ast.Var:
		switch v {
		case ast.InputRootDocument.Value:
			return []loc{s.input}
		case ast.DefaultRootDocument.Value:
			return []loc{s.data}
		}
		return s.variable(v).list()
	case ast.Ref:
		return s.reference(v)
	case ast.Call:
		return s.call(v[0].String(), v[1:])
	case *ast.Array:
		b := s.site(s.unit, t, false)
		for i := range v.Len() {
			s.field(b, ast.IntNumberTerm(i).String()).addAll(s.eval(v.Elem(i)))
		}
		return b.holding()
	case ast.Set:
		b := s.site(s.unit, t, true)
		v.Foreach(func(e *ast.Term) { b.inside.addAll(s.eval(e)) })
		return b.holding()
	case ast.Object:
		b := s.site(s.unit, t, false)
		v.Foreach(func(key, value *ast.Term) { s.member(b, key, value) })
		return b.holding()
	case *ast.ArrayComprehension:
		s.body(v.Body)
		b := s.site(s.unit, t, false)
		b.inside.addAll(s.eval(v.Term))
		return b.holding()
	case *ast.SetComprehension:
		s.body(v.Body)
		b := s.site(s.unit, t, true)
		b.inside.addAll(s.eval(v.Term))
		return b.holding()
	case *ast.ObjectComprehension:
		s.body(v.Body)
		b := s.site(s.unit, t, false)
		s.member(b, v.Key, v.Value)
		return b.holding()
	}
	return nil
}

func (s scope) member(b *built, key, value *ast.Term) {
	to := b.inside
	if name := constant(key); name != "" {
		to = s.field(b, name)
	} else {
		b.keys.addAll(s.eval(key))
	}
	to.addAll(s.eval(value))
}

// reference follows a reference from its head on.
func (s scope) reference(ref ast.Ref) []loc {
	var at []loc
	rest := ref[1:]
	if ref[0].Equal(ast.DefaultRootDocument) {
		units, n := s.named(ref)
		if n > 0 {
			for _, u := range units {
				s.unit.uses[u] = true
				at = append(at, s.settled(u).value.list()...)
			}
			for _, t := range ref[1:n] {
				s.eval(t)
			}
			rest = ref[n:]
		} else {
			at = []loc{s.data}
		}
	} else {
		at = s.eval(ref[0])
	}
	direct := true
	for _, t := range rest {
		name := constant(t)
		if name == "" {
			s.eval(t)
			s.bind(t, named(at))
		}
		direct = slices.ContainsFunc(at, func(l loc) bool { _, ok := l.(*place); return ok })
		at = s.step(at, name)
	}
	for _, l := range at {
		if p, ok := l.(*place); ok {
			s.unit.reads[p] = s.unit.reads[p] || direct
		}
	}
	return at
}

// named finds the rules that a reference to data leads to, and how much of the
// reference that takes; none where it leads to data.
func (s scope) named(ref ast.Ref) (found []*unit, length int) {
	if len(ref) < 2 || !s.packages[constant(ref[1])] {
		return nil, 0
	}
	for n := 3; n <= len(ref); n++ {
		prefix := ref[:n]
		if prefix.IsGround() {
			if u, ok := s.groups[prefix.String()]; ok {
				return []*unit{u}, n
			}
			continue
		}
		for _, u := range s.groups {
			if fits(u.ref, prefix) {
				found = append(found, u)
			}
		}
		if len(found) > 0 {
			return found, n
		}
	}
	return nil, 0
}

func fits(own, pattern ast.Ref) bool {
	if len(own) != len(pattern) {
		return false
	}
	for i, t := range pattern {
		if t.IsGround() && !t.Equal(own[i]) {
			return false
		}
	}
	return true
}

// passing are built-in functions whose answer holds their arguments, or parts of
// them.
var passing = []string{
	ast.ArrayConcat.Name, ast.ArraySlice.Name, ast.And.Name, ast.Or.Name, ast.Minus.Name, ast.Union.Name, ast.Intersection.Name,
	ast.ObjectUnion.Name, ast.ObjectUnionN.Name, ast.ObjectFilter.Name, ast.ObjectRemove.Name, ast.Sort.Name,
}

// choosing are built-in functions whose answer is one of what their argument holds.
var choosing = []string{ast.Max.Name, ast.Min.Name}

// call is what a function answers.
func (s scope) call(operator string, args []*ast.Term) []loc {
	values := make([][]loc, len(args))
	for i, a := range args {
		values[i] = s.eval(a)
	}
	if len(s.names[operator]) > 0 {
		u := s.called(operator, values)
		s.unit.uses[u] = true
		return u.value.list()
	}
	// What is handed to a function of the language is read, the elements of a
	// list too.
	for _, locs := range values {
		for _, l := range slices.Concat(locs, s.into(locs, "")) {
			if p, ok := l.(*place); ok && p.single {
				s.unit.reads[p] = true
			}
		}
	}
	switch {
	case operator == ast.Member.Name || operator == ast.MemberWithKey.Name:
		last := len(args) - 1
		s.bind(args[last-1], s.step(values[last], ""))
	case operator == ast.ObjectGet.Name:
		return append(s.get(values[0], args[1]), values[2]...)
	case operator == ast.ObjectKeys.Name:
		s.step(values[0], "")
		b := s.site(s.unit, args[0], true)
		b.inside.addAll(named(values[0]))
		return b.holding()
	case slices.Contains(passing, operator):
		return slices.Concat(values...)
	case slices.Contains(choosing, operator):
		return s.step(values[0], "")
	}
	return nil
}

// get follows the key, or path of keys, of object.get.
func (s scope) get(at []loc, key *ast.Term) []loc {
	path, ok := key.Value.(*ast.Array)
	if !ok {
		at = s.step(at, constant(key))
		path = ast.NewArray()
	}
	for i := range path.Len() {
		at = s.step(at, constant(path.Elem(i)))
	}
	for _, l := range at {
		if p, ok := l.(*place); ok {
			s.unit.reads[p] = true
		}
	}
	return at
}
