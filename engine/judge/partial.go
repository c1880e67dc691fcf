package judge

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"sync"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Document is what the rules see of a case, of which altered copies can be made. It
// is read only.
type Document struct{ value *ast.Term }

// NewDocument brings a case before the rules.
func NewDocument(c Case) (*Document, error) {
	v, err := inputValue(c)
	if err != nil {
		return nil, err
	}
	return &Document{ast.NewTerm(v)}, nil
}

// With is the document with another value (as [record.Record.Value] has them) at the
// place in the visit that the tokens of a JSON pointer lead to, which must be there.
// It is not held to the schema of visits.
func (d *Document) With(tokens []string, value any) (*Document, error) {
	v, err := ast.InterfaceToValue(value)
	if err != nil {
		return nil, fmt.Errorf("altering %v: %w", tokens, err)
	}
	t, err := replaced(d.value, append([]string{"visit"}, tokens...), ast.NewTerm(v))
	if err != nil {
		return nil, fmt.Errorf("altering %v: %w", tokens, err)
	}
	return &Document{t}, nil
}

// Without is the document without the member of an object, or the element of an array,
// at a place in the visit, which must be there. It is not held to the schema of
// visits.
func (d *Document) Without(tokens []string) (*Document, error) {
	t, err := replaced(d.value, append([]string{"visit"}, tokens...), nil)
	if err != nil {
		return nil, fmt.Errorf("taking out %v: %w", tokens, err)
	}
	return &Document{t}, nil
}

// replaced is a copy of a term with another in one place, or nothing there if that is
// nil; the rest is shared.
func replaced(t *ast.Term, path []string, by *ast.Term) (*ast.Term, error) {
	if len(path) == 0 {
		return by, nil
	}
	switch v := t.Value.(type) {
	case ast.Object:
		key := ast.StringTerm(path[0])
		if v.Get(key) == nil {
			break
		}
		members := make([][2]*ast.Term, 0, v.Len())
		var fault error
		v.Foreach(func(k, inner *ast.Term) {
			if k.Equal(key) {
				var err error
				if inner, err = replaced(inner, path[1:], by); err != nil {
					fault = err
					return
				}
			}
			if inner != nil {
				members = append(members, [2]*ast.Term{k, inner})
			}
		})
		return ast.ObjectTerm(members...), fault
	case *ast.Array:
		i, err := strconv.Atoi(path[0])
		if err != nil || i < 0 || i >= v.Len() {
			break
		}
		inner, err := replaced(v.Elem(i), path[1:], by)
		if err != nil {
			return nil, err
		}
		elements := make([]*ast.Term, v.Len())
		for k := range elements {
			elements[k] = v.Elem(k)
		}
		elements[i] = inner
		if inner == nil {
			elements = slices.Delete(elements, i, i+1)
		}
		return ast.ArrayTerm(elements...), nil
	}
	return nil, fmt.Errorf("there is no %q", path[0])
}

// Partial asks some rules of a release for their outcomes alone, unworded: which
// subjects, which outcome, how grave. It may be used by several goroutines at once.
type Partial struct {
	rules []ruleset.Rule
	names []string // of their documents
	plan  *Planned
	all   func() (*query, error)
}

// NewPartial prepares the questions to the rules named, which the release must have. A
// plan of the same release that has these rules answers sooner; it may be nil.
func NewPartial(ctx context.Context, set *ruleset.Set, plan *Planned, names []string) (*Partial, error) {
	p := &Partial{plan: plan}
	for _, name := range slices.Sorted(slices.Values(names)) {
		rule, ok := set.Rule(name)
		if !ok {
			return nil, fmt.Errorf("release %s has no rule %q", set.Version(), name)
		}
		p.rules = append(p.rules, rule)
		p.names = append(p.names, documents(rule)...)
	}
	ctx = context.WithoutCancel(ctx)
	p.all = sync.OnceValues(func() (*query, error) { return prepare(ctx, set, p.names) })
	return p, nil
}

// Outcomes are those of the rules about a document, by rule and subject.
func (p *Partial) Outcomes(ctx context.Context, d *Document) ([]verdict.Outcome, error) {
	s := &session{in: d.value.Value}
	if p.plan != nil {
		s.run = p.plan.over(ctx, s.in)
	}
	defer s.close()
	got, err := s.ask(ctx, p.names, p.all)
	if err != nil {
		return nil, err
	}
	var out []verdict.Outcome
	for _, rule := range p.rules {
		of, err := classify(rule, got)
		if err != nil {
			return nil, err
		}
		out = append(out, of...)
	}
	return out, nil
}
