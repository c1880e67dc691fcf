package schema

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"strings"
)

// errUnknown says that a schema has a keyword, or a form of one, that a rule
// does not know.
var errUnknown = errors.New("not known to the quick check")

// quickRule returns the embedded schema of that name as a rule, or nil if it
// has a keyword that rules do not know.
func quickRule(name string) (*rule, error) {
	b := &ruleBuilder{docs: map[string]any{}, rules: map[string]*rule{}, expressions: map[string]*regexp.Regexp{}}
	r, err := b.referred(name+suffix, "")
	if errors.Is(err, errUnknown) {
		return nil, nil
	}
	return r, err
}

// A ruleBuilder makes rules of the embedded schemas, each definition once.
type ruleBuilder struct {
	docs  map[string]any   // by file name
	rules map[string]*rule // by file name and pointer

	// expressions is the compiled patterns; that of an id stands in a schema
	// dozens of times.
	expressions map[string]*regexp.Regexp
}

func (b *ruleBuilder) expression(text string) (*regexp.Regexp, error) {
	if expr, ok := b.expressions[text]; ok {
		return expr, nil
	}
	expr, err := regexp.Compile(text)
	if err == nil {
		b.expressions[text] = expr
	}
	return expr, err
}

// referred returns the rule at a JSON pointer in a file.
func (b *ruleBuilder) referred(file, pointer string) (*rule, error) {
	address := file + "#" + pointer
	if r, ok := b.rules[address]; ok {
		return r, nil
	}
	doc, ok := b.docs[file]
	if !ok {
		data, err := FS.ReadFile(file)
		if err != nil {
			return nil, fmt.Errorf("reading schema %s: %w", file, err)
		}
		dec := json.NewDecoder(bytes.NewReader(data))
		dec.UseNumber()
		if err := dec.Decode(&doc); err != nil {
			return nil, fmt.Errorf("reading schema %s: %w", file, err)
		}
		b.docs[file] = doc
	}
	for part := range strings.SplitSeq(strings.TrimPrefix(pointer, "/"), "/") {
		if pointer == "" {
			break
		}
		m, _ := doc.(map[string]any)
		if doc, ok = m[part]; !ok {
			return nil, errUnknown
		}
	}
	r := new(rule)
	b.rules[address] = r // before it is filled: it may refer to itself
	return r, b.fill(r, doc, file, pointer == "")
}

// sub returns the rule of a schema that stands within another.
func (b *ruleBuilder) sub(doc any, file string) (*rule, error) {
	r := new(rule)
	return r, b.fill(r, doc, file, false)
}

// fill makes the rule mean what the schema says.
func (b *ruleBuilder) fill(r *rule, doc any, file string, root bool) error {
	r.maxLength, r.maxItems = -1, -1
	schema, ok := doc.(map[string]any)
	if !ok {
		allowed, ok := doc.(bool)
		r.never = !allowed
		if !ok {
			return errUnknown
		}
		return nil
	}
	for keyword, v := range schema {
		if err := b.keyword(r, keyword, v, file, root); err != nil {
			return err
		}
	}
	return nil
}

// keyword adds one keyword to the rule.
func (b *ruleBuilder) keyword(r *rule, keyword string, v any, file string, root bool) (err error) {
	switch keyword {
	case "title", "description", "examples", "$defs", "$comment":
	case "$schema", "$id":
		if !root {
			return errUnknown // would change what references mean
		}
	case "type":
		name, _ := v.(string)
		r.types, r.integer = kinds[name], name == "integer"
		if r.types == 0 {
			return errUnknown
		}
	case "const":
		return r.list([]any{v})
	case "enum":
		values, _ := v.([]any)
		return r.list(values)
	case "format":
		switch v {
		case "date-time":
			r.format = isDateTime
		case "date":
			r.format = isDate
		default:
			return errUnknown
		}
	case "pattern":
		expr, _ := v.(string)
		r.pattern, err = b.expression(expr)
	case "minLength":
		r.minLength, err = count(v)
	case "maxLength":
		r.maxLength, err = count(v)
	case "minItems":
		r.minItems, err = count(v)
	case "maxItems":
		r.maxItems, err = count(v)
	case "minProperties":
		r.minMembers, err = count(v)
	case "minimum":
		r.minimum, err = boundOf(v)
	case "maximum":
		r.maximum, err = boundOf(v)
	case "exclusiveMinimum":
		r.above, err = boundOf(v)
	case "exclusiveMaximum":
		r.below, err = boundOf(v)
	case "required":
		r.required, err = names(v)
	case "properties":
		members, ok := v.(map[string]any)
		if !ok {
			return errUnknown
		}
		r.properties = make(map[string]*rule, len(members))
		for name, member := range members {
			if r.properties[name], err = b.sub(member, file); err != nil {
				return err
			}
		}
	case "additionalProperties":
		r.others, err = b.sub(v, file)
	case "items":
		r.items, err = b.sub(v, file)
	case "if":
		r.cond, err = b.sub(v, file)
	case "then":
		r.then, err = b.sub(v, file)
	case "else":
		r.otherwise, err = b.sub(v, file)
	case "allOf":
		list, ok := v.([]any)
		if !ok {
			return errUnknown
		}
		for _, doc := range list {
			sub, err := b.sub(doc, file)
			if err != nil {
				return err
			}
			r.all = append(r.all, sub)
		}
	case "$ref":
		ref, _ := v.(string)
		other, pointer, _ := strings.Cut(strings.TrimPrefix(ref, Base), "#")
		if other == "" {
			other = file
		}
		sub, err := b.referred(other, pointer)
		if err != nil {
			return err
		}
		r.all = append(r.all, sub)
	case KeyKeyword:
		property, _ := v.(string)
		r.key = &Key{Property: property}
	default:
		return errUnknown
	}
	return err
}

// list lets the rule take these values only, which must be texts or booleans:
// numbers that are equal may be written in many ways.
func (r *rule) list(values []any) error {
	if r.values != nil {
		return errUnknown // const and enum together
	}
	if len(values) == 0 {
		return errUnknown // the library takes it for no enum at all
	}
	r.values = make(map[any]bool, len(values))
	for _, v := range values {
		switch v.(type) {
		case string, bool:
			r.values[v] = true
		default:
			return errUnknown
		}
	}
	return nil
}

func count(v any) (int, error) {
	n, _ := v.(json.Number)
	i, err := n.Int64()
	if err != nil || i < 0 || i > 1<<30 {
		return 0, errUnknown
	}
	return int(i), nil
}

func boundOf(v any) (*bound, error) {
	n, _ := v.(json.Number)
	return newBound(n.String())
}

func names(v any) ([]string, error) {
	list, ok := v.([]any)
	if !ok {
		return nil, errUnknown
	}
	var found []string
	for _, e := range list {
		name, ok := e.(string)
		if !ok {
			return nil, errUnknown
		}
		found = append(found, name)
	}
	return found, nil
}
