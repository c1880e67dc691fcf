package replay

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/reports/workshop"
	"github.com/visitgauge/visitgauge/schema"
)

// document is a result as others read it.
func document(t *testing.T, result any) any {
	t.Helper()
	data, err := workshop.Render(workshop.JSON, result, nil)
	if err != nil {
		t.Fatal(err)
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var doc any
	if err := dec.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	return doc
}

func compiled(t *testing.T, name string) *jsonschema.Schema {
	t.Helper()
	s, err := schema.Compile(name)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestDocumentsKeepToTheirSchemas holds results against the schemas that others read,
// with texts too that mean harm: they are texts.
func TestDocumentsKeepToTheirSchemas(t *testing.T) {
	for name, r := range map[string]*replay.Replay{"sample": sample(""), "hostile": sample("<b>\x1b\u202e=1"), "nothing": nothing()} {
		if err := compiled(t, "replay").Validate(document(t, r)); err != nil {
			t.Errorf("%s: %#v", name, err)
		}
	}
	if err := compiled(t, "reproduction").Validate(document(t, sample("").Recorded)); err != nil {
		t.Errorf("%#v", err)
	}
}

// TestSchemasRefuse takes out every member of a document, one at a time, and puts in
// one that nobody knows: none of it may pass, save what may be absent.
func TestSchemasRefuse(t *testing.T) {
	optional := []string{"because", "pointer", "facts", "value", "unit", "limit", "source", "mark", "earlier"}
	for name, result := range map[string]any{"replay": sample(""), "reproduction": sample("").Recorded} {
		s, doc, tried := compiled(t, name), document(t, result), 0
		var walk func(v any, at string)
		walk = func(v any, at string) {
			switch v := v.(type) {
			case []any:
				for i, inner := range v {
					walk(inner, fmt.Sprintf("%s/%d", at, i))
				}
			case map[string]any:
				v["unknown"] = "x"
				if s.Validate(doc) == nil {
					t.Errorf("%s: an unknown member of %q passes", name, at)
				}
				delete(v, "unknown")
				for _, key := range slices.Sorted(maps.Keys(v)) {
					was := v[key]
					walk(was, at+"/"+key)
					// What is indeterminate says why.
					if slices.Contains(optional, key) && !(key == "because" && v["outcome"] == "indeterminate") {
						continue
					}
					delete(v, key)
					if tried++; s.Validate(doc) == nil {
						t.Errorf("%s: it passes without %s/%s", name, at, key)
					}
					v[key] = was
				}
			}
		}
		walk(doc, "")
		if err := s.Validate(doc); err != nil || tried < 20 {
			t.Errorf("%s: %d tried, %v", name, tried, err)
		}
	}
}

// TestSchemasHaveEveryField compares the members that the schemas name with those that
// are written, so that neither has one the other lacks.
func TestSchemasHaveEveryField(t *testing.T) {
	for name, of := range map[string]reflect.Type{"replay": reflect.TypeFor[replay.Replay](), "reproduction": reflect.TypeFor[replay.Reproduction]()} {
		seen := 0
		var walk func(s *jsonschema.Schema, of reflect.Type, at string)
		walk = func(s *jsonschema.Schema, of reflect.Type, at string) {
			for s.Ref != nil {
				s = s.Ref
			}
			switch of.Kind() {
			case reflect.Pointer:
				if len(s.AnyOf) != 2 {
					t.Fatalf("%s%s: it may be null, and the schema does not say so", name, at)
				}
				walk(s.AnyOf[0], of.Elem(), at)
			case reflect.Slice:
				walk(s.Items2020, of.Elem(), at+"[]")
			case reflect.Struct:
				seen++
				written := members(of)
				if want := slices.Sorted(maps.Keys(s.Properties)); !slices.Equal(slices.Sorted(maps.Keys(written)), want) {
					t.Errorf("%s%s: written are %q, the schema has %q", name, at, slices.Sorted(maps.Keys(written)), want)
					return
				}
				for key, inner := range written {
					walk(s.Properties[key], inner, at+"/"+key)
				}
			}
		}
		walk(compiled(t, name), of, "")
		if seen < 4 {
			t.Errorf("%s: only %d kinds of objects were looked at", name, seen)
		}
	}
}

// members are the fields of a struct by the names under which they are written.
func members(of reflect.Type) map[string]reflect.Type {
	out := map[string]reflect.Type{}
	for i := range of.NumField() {
		f := of.Field(i)
		if f.Anonymous {
			maps.Copy(out, members(f.Type))
			continue
		}
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		out[name] = f.Type
	}
	return out
}
