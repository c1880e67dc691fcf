package compare

import (
	"encoding/json"
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"
)

// wordings are the fields of data that are texts for people: no rule decides by
// them.
var wordings = []string{"title", "note", "source", "mark", "name", "symbol", "ucum"}

// sameValue compares data as its readers do: numbers as numbers.
func sameValue(a, b any) bool {
	switch a := a.(type) {
	case map[string]any:
		b, ok := b.(map[string]any)
		return ok && maps.EqualFunc(a, b, sameValue)
	case []any:
		b, ok := b.([]any)
		return ok && slices.EqualFunc(a, b, sameValue)
	case json.Number:
		b, ok := b.(json.Number)
		if !ok {
			return false
		}
		x, okX := new(big.Rat).SetString(a.String())
		y, okY := new(big.Rat).SetString(b.String())
		return okX && okY && x.Cmp(y) == 0
	}
	return a == b
}

// at is the value under a dotted path; nil if there is none.
func at(data map[string]any, path string) any {
	var v any = data
	for _, part := range strings.Split(path, ".") {
		object, _ := v.(map[string]any)
		v = object[part]
	}
	return v
}

// text is a value as people read it. A list is written out.
func text(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case []any:
		parts := make([]string, len(v))
		for i, e := range v {
			parts[i] = text(e)
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case map[string]any:
		var parts []string
		for _, key := range slices.Sorted(maps.Keys(v)) {
			parts = append(parts, key+": "+text(v[key]))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	}
	return fmt.Sprint(v)
}

// fields lists the values that differ below two values, each with its path.
func fields(path string, a, b any) []Field {
	if sameValue(a, b) {
		return nil
	}
	objectA, okA := a.(map[string]any)
	objectB, okB := b.(map[string]any)
	if okA && okB {
		keys := map[string]bool{}
		for _, o := range []map[string]any{objectA, objectB} {
			for key := range o {
				keys[key] = true
			}
		}
		var out []Field
		for _, key := range slices.Sorted(maps.Keys(keys)) {
			out = append(out, fields(joinPath(path, key), objectA[key], objectB[key])...)
		}
		return out
	}
	listA, okA := a.([]any)
	listB, okB := b.([]any)
	if okA && okB {
		return listFields(path, listA, listB)
	}
	return []Field{{Field: path, Old: text(a), New: text(b)}}
}

// listFields compares two lists: element by element where both are as long and
// hold objects, else by what came in, went out, or changed places.
func listFields(path string, a, b []any) []Field {
	if len(a) == len(b) && holdsObjects(a) && holdsObjects(b) {
		var out []Field
		for i := range a {
			out = append(out, fields(fmt.Sprintf("%s[%d]", path, i), a[i], b[i])...)
		}
		return out
	}
	var out []Field
	lacks := func(list []any) func(any) bool {
		return func(v any) bool {
			return !slices.ContainsFunc(list, func(e any) bool { return sameValue(e, v) })
		}
	}
	for _, v := range a {
		if lacks(b)(v) {
			out = append(out, Field{Field: path, Old: text(v)})
		}
	}
	for _, v := range b {
		if lacks(a)(v) {
			out = append(out, Field{Field: path, New: text(v)})
		}
	}
	if len(out) == 0 {
		return []Field{{Field: path + ", order", Old: text(a), New: text(b)}}
	}
	return out
}

func holdsObjects(list []any) bool {
	return len(list) > 0 && !slices.ContainsFunc(list, func(v any) bool {
		_, ok := v.(map[string]any)
		return !ok
	})
}

func joinPath(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// isWording tells whether a field is text for people alone.
func isWording(f Field) bool {
	return slices.Contains(wordings, f.Field[strings.LastIndexByte(f.Field, '.')+1:])
}
