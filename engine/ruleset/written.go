package ruleset

import (
	"fmt"

	"github.com/open-policy-agent/opa/v1/ast"
)

// checkWritten looks at the rules as they are written for what would slip past
// the type checker.
func (l *loader) checkWritten() {
	for _, m := range l.modules {
		l.checkWith(m)
		l.checkTexts(m)
		if m.kind != ruleFile {
			continue // the helpers in shared/ have tests of their own
		}
		for _, r := range m.parsed.Rules {
			l.checkArguments(m, r)
		}
		l.checkObjectGet(m)
	}
}

// checkWith refuses the with keyword: under it a rule answers about an input
// that nobody handed in.
func (l *loader) checkWith(m module) {
	ast.WalkWiths(m.parsed, func(w *ast.With) bool {
		l.add(Problem{File: m.file, Line: w.Location.Row, Column: w.Location.Col, Message: "with is not allowed in a release", Mend: "pass what the helper needs as an argument"})
		return false
	})
}

// checkArguments refuses fields read from a function's arguments, or from what
// was taken out of one: arguments have no type, so a misspelt field would be
// undefined and not an error.
func (l *loader) checkArguments(m module, r *ast.Rule) {
	for rule := r; rule != nil; rule = rule.Else {
		untyped := ast.VarSet{}
		for _, a := range rule.Head.Args {
			ast.WalkVars(a, func(v ast.Var) bool {
				untyped.Add(v)
				return false
			})
		}
		if len(untyped) == 0 {
			return
		}
		for grown := true; grown; {
			grown = false
			ast.WalkExprs(rule.Body, func(e *ast.Expr) bool {
				grown = spread(e, untyped) || grown
				return false
			})
		}
		refuse := func(ref ast.Ref) bool {
			head, ok := ref[0].Value.(ast.Var)
			if !ok || !untyped.Contains(head) {
				return false
			}
			for _, t := range ref[1:] {
				if s, ok := t.Value.(ast.String); ok {
					l.add(Problem{File: m.file, Line: ref[0].Location.Row, Column: ref[0].Location.Col,
						Message: fmt.Sprintf("the field %q is read from a function's argument, where its spelling is not checked", string(s)),
						Mend:    "read the field in the body of a rule and hand the value to the function"})
					break
				}
			}
			return false
		}
		ast.WalkRefs(rule.Body, refuse)
		if rule.Head.Value != nil {
			ast.WalkRefs(rule.Head.Value, refuse)
		}
	}
}

// spread adds to the untyped variables those that an expression binds to a
// part of one: y := x, y := x[i], some y in x. It reports whether it added any.
func spread(e *ast.Expr, untyped ast.VarSet) bool {
	added := false
	bind := func(to, from *ast.Term) {
		if !fromUntyped(from, untyped) {
			return
		}
		ast.WalkVars(to, func(v ast.Var) bool {
			if !untyped.Contains(v) {
				untyped.Add(v)
				added = true
			}
			return false
		})
	}
	switch terms := e.Terms.(type) {
	case []*ast.Term:
		if (e.IsAssignment() || e.IsEquality()) && len(terms) == 3 {
			bind(terms[1], terms[2])
		}
	case *ast.SomeDecl:
		for _, s := range terms.Symbols {
			if call, ok := s.Value.(ast.Call); ok && len(call) > 2 {
				for _, to := range call[1 : len(call)-1] {
					bind(to, call[len(call)-1])
				}
			}
		}
	case *ast.Every:
		if terms.Key != nil {
			bind(terms.Key, terms.Domain)
		}
		bind(terms.Value, terms.Domain)
	}
	return added
}

func fromUntyped(t *ast.Term, untyped ast.VarSet) bool {
	switch v := t.Value.(type) {
	case ast.Var:
		return untyped.Contains(v)
	case ast.Ref:
		head, ok := v[0].Value.(ast.Var)
		return ok && untyped.Contains(head)
	}
	return false
}

// checkObjectGet refuses object.get with a written-out key on a part of the
// record or of the data: the key's spelling is not checked, and the default
// takes the place of what is missing. What a rule has built has keys of its own.
func (l *loader) checkObjectGet(m module) {
	get := ast.ObjectGet.Ref()
	built := builtNames(m.parsed)
	check := func(operator, object, key *ast.Term) {
		ref, ok := operator.Value.(ast.Ref)
		if !ok || !ref.Equal(get) || built(object) {
			return
		}
		constant := false
		switch k := key.Value.(type) {
		case ast.String:
			constant = true
		case *ast.Array:
			k.Foreach(func(t *ast.Term) {
				_, isText := t.Value.(ast.String)
				constant = constant || isText
			})
		}
		if constant {
			l.add(Problem{File: m.file, Line: operator.Location.Row, Column: operator.Location.Col,
				Message: "object.get is given the key " + key.String() + ", whose spelling is not checked",
				Mend:    "read the field directly: one body for the field that is there, one for the other case"})
		}
	}
	ast.WalkExprs(m.parsed, func(e *ast.Expr) bool {
		if terms, ok := e.Terms.([]*ast.Term); ok && len(terms) > 2 {
			check(terms[0], terms[1], terms[2])
		}
		return false
	})
	ast.WalkTerms(m.parsed, func(t *ast.Term) bool {
		if call, ok := t.Value.(ast.Call); ok && len(call) > 2 {
			check(call[0], call[1], call[2])
		}
		return false
	})
}

// builtNames recognises a value that a rule of the module or a helper it
// imports has built.
func builtNames(m *ast.Module) func(*ast.Term) bool {
	names := map[ast.Var]bool{}
	for _, r := range m.Rules {
		if len(r.Head.Args) == 0 {
			names[ast.Var(HeadName(r))] = true
		}
	}
	shared := ast.MustParseRef("data.shared")
	for _, i := range m.Imports {
		if path, ok := i.Path.Value.(ast.Ref); ok && path.HasPrefix(shared) {
			names[i.Name()] = true
		}
	}
	return func(t *ast.Term) bool {
		switch v := t.Value.(type) {
		case ast.Var:
			return names[v]
		case ast.Ref:
			head, ok := v[0].Value.(ast.Var)
			return ok && (names[head] || v.HasPrefix(shared))
		}
		return false
	}
}
