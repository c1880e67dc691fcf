package ruleset

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/schema"
)

// The type checker knows that a field is text; it knows neither which words it
// may hold nor that text is never more than a number. A comparison that can
// only come out one way is found here, by the name of the field.

// field is what the schemas say of all fields of one name.
type field struct {
	words []string // the words it may hold, over all schemas
	open  bool     // some field of the name may hold other text
	text  bool     // some field of the name holds text
	count bool     // some field of the name holds numbers
	other bool     // some field of the name holds something else
}

// fieldsOf collects the fields of the schemas that rules read by.
func fieldsOf() (map[string]*field, error) {
	fields := map[string]*field{}
	for _, name := range []string{"visit", "input", "classes", "steps", "limits", "units"} {
		data, err := schema.Bundle(name)
		if err != nil {
			return nil, fmt.Errorf("reading the words of schema %s: %w", name, err)
		}
		var document map[string]any
		if err := json.Unmarshal(data, &document); err != nil {
			return nil, fmt.Errorf("reading the words of schema %s: %w", name, err)
		}
		defs, _ := document["$defs"].(map[string]any)
		collectFields(document, defs, fields)
	}
	return fields, nil
}

func collectFields(v any, defs map[string]any, fields map[string]*field) {
	switch v := v.(type) {
	case []any:
		for _, e := range v {
			collectFields(e, defs, fields)
		}
	case map[string]any:
		properties, _ := v["properties"].(map[string]any)
		for name, p := range properties {
			if described, ok := p.(map[string]any); ok {
				describe(described, defs, name, fields)
			}
		}
		for _, member := range v {
			collectFields(member, defs, fields)
		}
	}
}

// describe adds what a property's schema says of its field. One that says
// nothing of the type, as under a condition, adds nothing.
func describe(property, defs map[string]any, name string, fields map[string]*field) {
	if ref, ok := property["$ref"].(string); ok {
		def, ok := defs[strings.TrimPrefix(ref, "#/$defs/")].(map[string]any)
		if !ok {
			return
		}
		property = def
	}
	kind, ok := property["type"].(string)
	if !ok {
		return
	}
	f := fields[name]
	if f == nil {
		f = &field{}
		fields[name] = f
	}
	switch kind {
	case "string":
		f.text = true
		words, ok := property["enum"].([]any)
		if word, isConst := property["const"]; isConst {
			words, ok = []any{word}, true
		}
		f.open = f.open || !ok
		for _, w := range words {
			if word, ok := w.(string); ok && !slices.Contains(f.words, word) {
				f.words = append(f.words, word)
			}
		}
	case "number", "integer":
		f.count = true
	default:
		f.other = true
	}
}

// checkWords looks at comparisons of a field with what is written out.
func (l *loader) checkWords() error {
	fields, err := fieldsOf()
	if err != nil {
		return err
	}
	for _, m := range l.modules {
		ast.WalkExprs(m.parsed, func(e *ast.Expr) bool {
			if terms, ok := e.Terms.([]*ast.Term); ok && len(terms) == 3 {
				l.checkComparison(m, fields, terms)
			}
			return false
		})
		ast.WalkTerms(m.parsed, func(t *ast.Term) bool {
			if call, ok := t.Value.(ast.Call); ok && len(call) == 3 {
				l.checkComparison(m, fields, call)
			}
			return false
		})
	}
	return nil
}

var comparisons = []string{
	ast.Equality.Name, ast.Equal.Name, ast.NotEqual.Name, ast.Member.Name,
	ast.LessThan.Name, ast.LessThanEq.Name, ast.GreaterThan.Name, ast.GreaterThanEq.Name,
}

func (l *loader) checkComparison(m module, fields map[string]*field, terms []*ast.Term) {
	if !slices.Contains(comparisons, terms[0].String()) {
		return
	}
	for _, sides := range [][2]*ast.Term{{terms[1], terms[2]}, {terms[2], terms[1]}} {
		name, f := fieldNamed(sides[0], fields)
		if f == nil || f.other {
			continue
		}
		compareWith := func(t *ast.Term) {
			var message, mend string
			switch v := t.Value.(type) {
			case ast.String:
				switch {
				case !f.text:
					message, mend = fmt.Sprintf("%q is text, and no field %q holds text", string(v), name), "compare numbers with numbers"
				case !f.open && !slices.Contains(f.words, string(v)):
					message, mend = fmt.Sprintf("no field %q ever holds %q", name, string(v)), "its words are "+strings.Join(f.words, ", ")
					if near := nearest(string(v), f.words); near != "" {
						mend = fmt.Sprintf("did you mean %q?", near)
					}
				}
			case ast.Number:
				if !f.count {
					message, mend = fmt.Sprintf("%s is a number, and no field %q holds numbers", v, name), "compare text with text"
				}
			}
			if message != "" {
				l.add(Problem{File: m.file, Line: t.Location.Row, Column: t.Location.Col, Message: message, Mend: mend})
			}
		}
		if set, ok := sides[1].Value.(ast.Set); ok && terms[0].String() == ast.Member.Name {
			set.Foreach(compareWith)
			continue
		}
		compareWith(sides[1])
	}
}

// fieldNamed recognises the reading of a field that the schemas know.
func fieldNamed(t *ast.Term, fields map[string]*field) (string, *field) {
	ref, ok := t.Value.(ast.Ref)
	if !ok || len(ref) < 2 {
		return "", nil
	}
	name, ok := ref[len(ref)-1].Value.(ast.String)
	if !ok {
		return "", nil
	}
	return string(name), fields[string(name)]
}
