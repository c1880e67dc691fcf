package schema

import (
	"encoding/json"
	"regexp"
	"strings"
	"unicode/utf8"
)

// A rule is a schema reduced to the question whether a value is valid. It knows
// the keywords that the schema of a visit uses, and means by them what the
// schema library does; the tests hold the two against each other.
type rule struct {
	never      bool // the schema false
	types      kind // none: any
	integer    bool // of type integer, written as one
	values     map[any]bool
	format     func(any) bool
	pattern    *regexp.Regexp
	minLength  int
	maxLength  int // below zero: any
	minimum    *bound
	maximum    *bound
	above      *bound // exclusiveMinimum
	below      *bound // exclusiveMaximum
	required   []string
	properties map[string]*rule
	others     *rule // additionalProperties
	minMembers int
	items      *rule
	minItems   int
	maxItems   int // below zero: any
	key        *Key
	all        []*rule // $ref and allOf
	cond       *rule   // if
	then       *rule
	otherwise  *rule // else
}

// A kind is a set of JSON types.
type kind uint8

const (
	null kind = 1 << iota
	boolean
	text
	number
	array
	object
)

var kinds = map[string]kind{
	"null": null, "boolean": boolean, "string": text, "number": number, "integer": number, "array": array, "object": object,
}

// holds tells whether the value is valid. Of a value that holds something else
// than a decoded JSON document with json.Number it says no.
func (r *rule) holds(v any) bool {
	if r.never {
		return false
	}
	switch v := v.(type) {
	case nil:
		return r.takes(null) && r.values == nil && r.combined(v)
	case bool:
		return r.takes(boolean) && r.listed(v) && r.combined(v)
	case string:
		return r.takes(text) && r.listed(v) && r.text(v) && r.combined(v)
	case json.Number:
		return r.takes(number) && r.values == nil && r.number(v.String()) && r.combined(v)
	case []any:
		return r.takes(array) && r.values == nil && r.array(v) && r.combined(v)
	case map[string]any:
		return r.takes(object) && r.values == nil && r.object(v) && r.combined(v)
	}
	return false
}

func (r *rule) takes(k kind) bool { return r.types == 0 || r.types&k != 0 }

func (r *rule) listed(v any) bool { return r.values == nil || r.values[v] }

func (r *rule) text(v string) bool {
	if r.minLength > 0 || r.maxLength >= 0 {
		n := utf8.RuneCountInString(v)
		if n < r.minLength || r.maxLength >= 0 && n > r.maxLength {
			return false
		}
	}
	return (r.pattern == nil || r.pattern.MatchString(v)) && (r.format == nil || r.format(v))
}

func (r *rule) number(v string) bool {
	if r.integer && strings.ContainsAny(v, ".eE") {
		return false
	}
	return (r.minimum == nil || r.minimum.compare(v) >= 0) && (r.maximum == nil || r.maximum.compare(v) <= 0) &&
		(r.above == nil || r.above.compare(v) > 0) && (r.below == nil || r.below.compare(v) < 0)
}

func (r *rule) array(v []any) bool {
	if len(v) < r.minItems || r.maxItems >= 0 && len(v) > r.maxItems {
		return false
	}
	if r.items != nil {
		for _, element := range v {
			if !r.items.holds(element) {
				return false
			}
		}
	}
	return r.key == nil || len(r.key.Repeats(v)) == 0
}

func (r *rule) object(v map[string]any) bool {
	if len(v) < r.minMembers {
		return false
	}
	for _, name := range r.required {
		if _, given := v[name]; !given {
			return false
		}
	}
	if r.properties == nil && r.others == nil {
		return true
	}
	for name, member := range v {
		property, known := r.properties[name]
		if !known {
			property = r.others
		}
		if property != nil && !property.holds(member) {
			return false
		}
	}
	return true
}

// combined holds the value against the schemas that speak of the same value.
func (r *rule) combined(v any) bool {
	for _, other := range r.all {
		if !other.holds(v) {
			return false
		}
	}
	if r.cond == nil {
		return true
	}
	branch := r.otherwise
	if r.cond.holds(v) {
		branch = r.then
	}
	return branch == nil || branch.holds(v)
}
