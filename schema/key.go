package schema

import (
	"encoding/json"
	"fmt"

	"github.com/santhosh-tekuri/jsonschema/v5"
)

// KeyKeyword is our own keyword on an array of objects. Its value names the
// property that tells the elements apart; no two elements may have it equal.
// JSON Schema has uniqueItems only, which compares elements as a whole.
const KeyKeyword = "x-key"

// Key is the compiled form of [KeyKeyword].
type Key struct {
	// Property is the name of the property whose values must differ.
	Property string
}

var (
	_ jsonschema.ExtSchema   = Key{}
	_ jsonschema.ExtCompiler = keyCompiler{}
)

// Validate reports, in one error, that two elements have equal keys; see
// [Key.Repeats] for all of them.
func (k Key) Validate(ctx jsonschema.ValidationContext, v any) error {
	array, ok := v.([]any)
	if !ok {
		return nil
	}
	repeats := k.Repeats(array)
	if len(repeats) == 0 {
		return nil
	}
	r := repeats[0]
	return ctx.Error(KeyKeyword, "%s of element %d is the same as of element %d", k.Property, r.Index, r.First)
}

// A Repeat is an element whose key an earlier element has already.
type Repeat struct {
	// Index and First count from zero; First is the earliest element with the
	// key.
	Index, First int
}

// Repeats returns the elements of the array whose key occurred before, in
// order. Elements that are no objects, or have no such property, or have one
// that is neither a string nor a number, are passed over: it is for other
// keywords to refuse them. Numbers are compared as written.
func (k Key) Repeats(array []any) []Repeat {
	var repeats []Repeat
	first := make(map[any]int, len(array))
	for i, element := range array {
		object, ok := element.(map[string]any)
		if !ok {
			continue
		}
		switch key := object[k.Property].(type) {
		case string, json.Number:
			if at, seen := first[key]; seen {
				repeats = append(repeats, Repeat{Index: i, First: at})
			} else {
				first[key] = i
			}
		}
	}
	return repeats
}

type keyCompiler struct{}

func (keyCompiler) Compile(_ jsonschema.CompilerContext, m map[string]any) (jsonschema.ExtSchema, error) {
	v, ok := m[KeyKeyword]
	if !ok {
		return nil, nil
	}
	property, ok := v.(string)
	if !ok || property == "" {
		return nil, fmt.Errorf("%s is %v: it must be the name of a property", KeyKeyword, v)
	}
	return Key{Property: property}, nil
}
