package ruleset

import (
	"encoding/json"
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

// leaves are the causes that have no causes of their own, and the choices between
// members of which none is there: they are one fault, not one a member.
func leaves(e *jsonschema.ValidationError) []*jsonschema.ValidationError {
	if len(e.Causes) == 0 || len(missingChoice(e)) > 0 {
		return []*jsonschema.ValidationError{e}
	}
	var out []*jsonschema.ValidationError
	for _, c := range e.Causes {
		out = append(out, leaves(c)...)
	}
	return out
}

// missingChoice names the members of which an object must have one at least and
// has none; it names none where the fault is another.
func missingChoice(e *jsonschema.ValidationError) []string {
	if keywordOf(e) != "anyOf" {
		return nil
	}
	var names []string
	for _, c := range e.Causes {
		for _, leaf := range leaves(c) {
			missing := namesIn(leaf.Message)
			if keywordOf(leaf) != "required" || leaf.InstanceLocation != e.InstanceLocation || len(missing) != 1 {
				return nil
			}
			names = append(names, missing[0])
		}
	}
	return names
}

func keywordOf(e *jsonschema.ValidationError) string {
	return e.KeywordLocation[strings.LastIndexByte(e.KeywordLocation, '/')+1:]
}

var quotedName = regexp.MustCompile(`'((?:[^'\\]|\\.)*)'`)

// namesIn are the names of members that a message of the validator lists.
func namesIn(message string) []string {
	var names []string
	for _, m := range quotedName.FindAllStringSubmatch(message, -1) {
		names = append(names, m[1])
	}
	return names
}

func schemaProblems(d *document, root *jsonschema.Schema, name string, e *jsonschema.ValidationError, prefix string) Problems {
	pointer := prefix + e.InstanceLocation
	keyword := keywordOf(e)
	where := pointer
	if where == "" {
		where = "the document"
	}
	at := strings.TrimSuffix(e.AbsoluteKeywordLocation, "/"+keyword)
	s := findSchema(root, at, map[*jsonschema.Schema]bool{})
	switch keyword {
	case "additionalProperties":
		return unknownMembers(d, s, namesIn(e.Message), pointer, where)
	case "required":
		var out Problems
		for _, missing := range namesIn(e.Message) {
			mend := "add " + missing
			if holds := memberDescription(root, at, missing); holds != "" {
				mend += "; wanted there: " + holds
			}
			out = append(out, d.problem(pointer, fmt.Sprintf("%s: the member %q is missing", where, missing), mend))
		}
		return out
	case "anyOf":
		names := missingChoice(e)
		if len(names) == 0 {
			break
		}
		mends := make([]string, len(names))
		for i, missing := range names {
			mends[i] = missing
			if holds := memberDescription(root, at, missing); holds != "" {
				mends[i] += " (" + strings.TrimSuffix(holds, ".") + ")"
			}
		}
		return Problems{d.problem(pointer, fmt.Sprintf("%s: there is neither of the members %s", where, strings.Join(names, ", ")), "add one of them: "+strings.Join(mends, ", "))}
	}
	mend := "see visitgauge schema " + name
	if s != nil && s.Description != "" {
		mend = "wanted here: " + s.Description
	}
	if keyword == "type" && s != nil {
		if quotes := quotesMend(d, pointer, s.Types); quotes != "" {
			mend = quotes
		}
	}
	return Problems{d.valueProblem(pointer, where+": "+e.Message, mend)}
}

// unknownMembers makes of each unknown member a problem at its own name.
func unknownMembers(d *document, s *jsonschema.Schema, unknown []string, pointer, where string) Problems {
	var known []string
	if s != nil {
		for name := range s.Properties {
			known = append(known, name)
		}
		slices.Sort(known)
	}
	var out Problems
	for _, name := range unknown {
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

// memberDescription is what the schema at a location says of a member. Under a
// condition or a choice the member is described further out.
func memberDescription(root *jsonschema.Schema, location, member string) string {
	for {
		if s := findSchema(root, location, map[*jsonschema.Schema]bool{}); s != nil {
			if of := s.Properties[member]; of != nil {
				for of.Description == "" && of.Ref != nil {
					of = of.Ref
				}
				return of.Description
			}
		}
		cut := strings.LastIndexByte(location, '/')
		if cut < 0 || !conditional.MatchString(location) {
			return ""
		}
		location = location[:cut]
	}
}

// conditional are the locations of a schema that is about the same value as the
// one it stands in.
var conditional = regexp.MustCompile(`/(?:if|then|else|not|allOf|anyOf|oneOf)(?:/[0-9]+)?$`)

// quotesMend is the mend of a value that is of the wrong type only because of its
// quotes, or for want of them; "" if that is not the fault.
func quotesMend(d *document, pointer string, types []string) string {
	switch v := d.find(pointer).(type) {
	case string:
		whole := !slices.Contains(types, "number")
		if whole && !slices.Contains(types, "integer") || whole && strings.Contains(v, ".") || plainNumber(v) != "" || strings.Trim(v, "-.0123456789") != "" {
			return ""
		}
		return "take the quotes away: " + v
	case json.Number:
		if slices.Contains(types, "string") {
			return fmt.Sprintf("put quotes around it: %q", v)
		}
	}
	return ""
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
// "" if none is near: at most a third of its letters differ, or all but capitals
// agree.
func nearest(name string, known []string) string {
	best, bestDistance := "", len(name)/3+1
	for _, k := range known {
		if strings.EqualFold(name, k) {
			return k
		}
		if d := levenshtein.ComputeDistance(name, k); d < bestDistance {
			best, bestDistance = k, d
		}
	}
	return best
}
