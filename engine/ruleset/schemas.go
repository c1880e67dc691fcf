package ruleset

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/agnivade/levenshtein"
	"github.com/santhosh-tekuri/jsonschema/v5"

	"github.com/visitgauge/visitgauge/schema"
)

// validators compiles each schema once.
type validators map[string]*jsonschema.Schema

func (v validators) get(name string) (*jsonschema.Schema, error) {
	if s, ok := v[name]; ok {
		return s, nil
	}
	s, err := schema.Compile(name)
	if err != nil {
		return nil, fmt.Errorf("compiling schema %s: %w", name, err)
	}
	v[name] = s
	return s, nil
}

// check holds a value of a document, found at pointer in it, to a schema.
func (v validators) check(name string, d *document, value any, pointer string) (Problems, error) {
	s, err := v.get(name)
	if err != nil {
		return nil, err
	}
	err = s.Validate(value)
	if err == nil {
		return nil, nil
	}
	invalid, ok := err.(*jsonschema.ValidationError)
	if !ok {
		return nil, fmt.Errorf("checking %s against schema %s: %w", d.file, name, err)
	}
	var problems Problems
	for _, leaf := range leaves(invalid) {
		problems = append(problems, schemaProblems(d, s, name, leaf, pointer)...)
	}
	return problems, nil
}

// leaves are the causes that have no causes of their own.
func leaves(e *jsonschema.ValidationError) []*jsonschema.ValidationError {
	if len(e.Causes) == 0 {
		return []*jsonschema.ValidationError{e}
	}
	var out []*jsonschema.ValidationError
	for _, c := range e.Causes {
		out = append(out, leaves(c)...)
	}
	return out
}

var quotedName = regexp.MustCompile(`'((?:[^'\\]|\\.)*)'`)

func schemaProblems(d *document, root *jsonschema.Schema, name string, e *jsonschema.ValidationError, prefix string) Problems {
	pointer := prefix + e.InstanceLocation
	keyword := e.KeywordLocation[strings.LastIndexByte(e.KeywordLocation, '/')+1:]
	where := pointer
	if where == "" {
		where = "the document"
	}
	at := strings.TrimSuffix(e.AbsoluteKeywordLocation, "/"+keyword)
	s := findSchema(root, at, map[*jsonschema.Schema]bool{})
	if keyword != "additionalProperties" {
		mend := "see visitgauge schema " + name
		if s != nil && s.Description != "" {
			mend = "wanted here: " + s.Description
		}
		return Problems{d.valueProblem(pointer, where+": "+e.Message, mend)}
	}
	// The message lists the unknown members: each is a problem at its own name.
	var known []string
	if s != nil {
		for name := range s.Properties {
			known = append(known, name)
		}
		slices.Sort(known)
	}
	var out Problems
	for _, m := range quotedName.FindAllStringSubmatch(e.Message, -1) {
		name := m[1]
		mend := ""
		switch near := nearest(name, known); {
		case near != "":
			mend = fmt.Sprintf("did you mean %q?", near)
		case len(known) > 0:
			mend = "the names known here are " + strings.Join(known, ", ")
		}
		out = append(out, d.problem(childPointer(pointer, name), fmt.Sprintf("%s: there is no member %q here", where, name), mend))
	}
	return out
}

// findSchema finds the schema at an absolute location below root.
func findSchema(root *jsonschema.Schema, location string, seen map[*jsonschema.Schema]bool) *jsonschema.Schema {
	if root == nil || seen[root] {
		return nil
	}
	seen[root] = true
	if root.Location == location {
		return root
	}
	next := []*jsonschema.Schema{root.Ref, root.Items2020, root.If, root.Then, root.Else, root.Not, root.Contains, root.PropertyNames}
	next = append(next, slices.Concat(root.AllOf, root.AnyOf, root.OneOf, root.PrefixItems)...)
	for _, s := range root.Properties {
		next = append(next, s)
	}
	for _, s := range root.PatternProperties {
		next = append(next, s)
	}
	for _, s := range root.DependentSchemas {
		next = append(next, s)
	}
	if s, ok := root.AdditionalProperties.(*jsonschema.Schema); ok {
		next = append(next, s)
	}
	for _, s := range next {
		if found := findSchema(s, location, seen); found != nil {
			return found
		}
	}
	return nil
}

// nearest is the known name that a misspelt one was most likely meant to be,
// "" if none is near: at most a third of its letters differ.
func nearest(name string, known []string) string {
	best, bestDistance := "", len(name)/3+1
	for _, k := range known {
		if d := levenshtein.ComputeDistance(name, k); d < bestDistance {
			best, bestDistance = k, d
		}
	}
	return best
}
