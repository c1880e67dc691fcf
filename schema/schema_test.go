package schema_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"github.com/visitgauge/visitgauge/schema"
)

// parse returns a JSON document as the schema library takes it.
func parse(t *testing.T, data []byte) any {
	t.Helper()
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var v any
	if err := dec.Decode(&v); err != nil {
		t.Fatalf("parsing %.60q: %v", data, err)
	}
	return v
}

func TestNamesCoverFS(t *testing.T) {
	names := schema.Names()
	for _, want := range []string{"input", "visit"} {
		if !slices.Contains(names, want) {
			t.Errorf("Names() = %q lacks %q", names, want)
		}
	}
	for _, name := range names {
		data, err := schema.Read(name)
		if err != nil {
			t.Error(err)
			continue
		}
		doc, _ := parse(t, data).(map[string]any)
		if doc["$id"] != schema.ID(name) {
			t.Errorf("%s: $id is %v, want %s", name, doc["$id"], schema.ID(name))
		}
		if doc["$schema"] != "https://json-schema.org/draft/2020-12/schema" {
			t.Errorf("%s: $schema is %v", name, doc["$schema"])
		}
	}
}

func TestReadUnknown(t *testing.T) {
	for _, name := range []string{"", "vist", "../schema/visit", "visit.v1.json"} {
		if _, err := schema.Read(name); err == nil || !strings.Contains(err.Error(), "visit") {
			t.Errorf("Read(%q): %v, want an error that lists the names", name, err)
		}
	}
}

// metaSchema is the JSON Schema 2020-12 meta-schema, as published at
// https://json-schema.org/draft/2020-12/schema, in the copy that the schema
// library carries.
func metaSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	c := jsonschema.NewCompiler()
	c.AssertFormat = true
	meta, err := c.Compile("https://json-schema.org/draft/2020-12/schema")
	if err != nil {
		t.Fatal(err)
	}
	return meta
}

func TestSchemasConformToMetaSchema(t *testing.T) {
	meta := metaSchema(t)
	for _, name := range schema.Names() {
		data, err := schema.Read(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := meta.Validate(parse(t, data)); err != nil {
			t.Errorf("%s: %#v", name, err)
		}
		bundle, err := schema.Bundle(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := meta.Validate(parse(t, bundle)); err != nil {
			t.Errorf("bundle of %s: %#v", name, err)
		}
	}
}

// The check above proves something only if the meta-schema refuses what it
// should.
func TestMetaSchemaRefuses(t *testing.T) {
	meta := metaSchema(t)
	for _, bad := range []string{
		`{"type": "text"}`,
		`{"required": "id"}`,
		`{"properties": {"a": 1}}`,
		`{"minimum": "1.0"}`,
		`{"$defs": {"a": {"enum": 3}}}`,
		`{"$ref": 1}`,
	} {
		if meta.Validate(parse(t, []byte(bad))) == nil {
			t.Errorf("the meta-schema takes %s", bad)
		}
	}
}

func TestCompileAll(t *testing.T) {
	for _, name := range schema.Names() {
		if _, err := schema.Compile(name); err != nil {
			t.Error(err)
		}
	}
	if _, err := schema.Compile("vist"); err == nil {
		t.Error("Compile takes an unknown name")
	}
}

// What a schema gives as an example must be valid where it stands, or people
// are told to write what is then refused.
func TestExamplesAreValid(t *testing.T) {
	count := 0
	for _, name := range schema.Names() {
		compiled, err := schema.Compile(name)
		if err != nil {
			t.Fatal(err)
		}
		seen := map[*jsonschema.Schema]bool{}
		var walk func(s *jsonschema.Schema)
		walk = func(s *jsonschema.Schema) {
			if s == nil || seen[s] {
				return
			}
			seen[s] = true
			for _, example := range s.Examples {
				count++
				if err := s.Validate(example); err != nil {
					t.Errorf("%s: example %v: %v", s.Location, example, err)
				}
			}
			for _, key := range slices.Sorted(maps.Keys(s.Properties)) {
				walk(s.Properties[key])
			}
			for _, sub := range append(slices.Clone(s.AllOf), s.Ref, s.Items2020, s.Then, s.Else) {
				walk(sub)
			}
			if sub, ok := s.AdditionalProperties.(*jsonschema.Schema); ok {
				walk(sub)
			}
		}
		walk(compiled)
	}
	if count == 0 {
		t.Error("no example was found in any schema")
	}
}

// compile compiles a small schema of the test's own.
func compile(t *testing.T, text string) *jsonschema.Schema {
	t.Helper()
	s, err := schema.CompileBytes("https://visitgauge.invalid/test", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestReferencesStayInside(t *testing.T) {
	for _, ref := range []string{
		"file:///etc/hostname", "other.json", "https://example.com/schema.json",
		schema.Base + "nothing.v1.json", schema.Base + "embed.go",
	} {
		text := fmt.Sprintf(`{"$ref": %q}`, ref)
		if _, err := schema.CompileBytes("https://visitgauge.invalid/test", []byte(text)); err == nil {
			t.Errorf("a reference to %s is followed", ref)
		}
	}
	if _, err := schema.CompileBytes("https://visitgauge.invalid/test", []byte(`{"$ref": "`+schema.ID("visit")+`"}`)); err != nil {
		t.Errorf("a reference to an embedded schema is not followed: %v", err)
	}
}

func TestKey(t *testing.T) {
	s := compile(t, `{"x-key": "cell"}`)
	for _, c := range []struct {
		value string
		valid bool
	}{
		{`[]`, true},
		{`[{"cell": "B1.1"}, {"cell": "B1.2"}]`, true},
		{`[{"cell": "B1.1"}, {"cell": "B1.2"}, {"cell": "B1.1"}]`, false},
		{`[{"cell": 1}, {"cell": 1}]`, false},
		{`[{"cell": 1}, {"cell": "1"}]`, true},
		{`[{"cell": "b"}, {"cell": "B"}]`, true},
		{`[{"post": "x"}, {"post": "x"}]`, true}, // no key: required decides
		{`[{"cell": null}, {"cell": null}]`, true},
		{`["x", "x"]`, true},
		{`{"cell": "B1.1"}`, true},
	} {
		if err := s.Validate(parse(t, []byte(c.value))); (err == nil) != c.valid {
			t.Errorf("%s: %v, want valid %t", c.value, err, c.valid)
		}
	}
}

func TestKeyRepeats(t *testing.T) {
	array, _ := parse(t, []byte(`[{"k": "a"}, {"k": "b"}, {"k": "a"}, {"k": "b"}, {"k": "a"}]`)).([]any)
	got := schema.Key{Property: "k"}.Repeats(array)
	want := []schema.Repeat{{Index: 2, First: 0}, {Index: 3, First: 1}, {Index: 4, First: 0}}
	if !slices.Equal(got, want) {
		t.Errorf("Repeats = %v, want %v", got, want)
	}
}

func TestKeyMustBeName(t *testing.T) {
	for _, text := range []string{`{"x-key": ""}`, `{"x-key": 1}`, `{"x-key": ["a"]}`} {
		if _, err := schema.CompileBytes("https://visitgauge.invalid/test", []byte(text)); err == nil {
			t.Errorf("%s compiles", text)
		}
	}
}

// JSON Schema 2020-12, 4.2.3 of core and 6.1.1 of validation: 1.0 is an integer.
// Here it must be written as one as well.
func TestPlainInteger(t *testing.T) {
	s := compile(t, `{"type": "integer"}`)
	for _, c := range []struct {
		value string
		valid bool
	}{
		{`0`, true}, {`-7`, true}, {`123456789012345`, true},
		{`1.0`, false}, {`1e0`, false}, {`1.5`, false}, {`"1"`, false},
	} {
		if err := s.Validate(parse(t, []byte(c.value))); (err == nil) != c.valid {
			t.Errorf("%s: %v, want valid %t", c.value, err, c.valid)
		}
	}
	number := compile(t, `{"type": "number"}`)
	if err := number.Validate(json.Number("1.0")); err != nil {
		t.Errorf("a number that is no integer is held to be written as one: %v", err)
	}
}

// Numbers are compared as decimals: as binary floats, 3.0000000000000001 is 3.
// The pairs 3.0 and 3.5, 0.0075 and 0.00751 are from json-schema-org's
// JSON-Schema-Test-Suite, tests/draft2020-12 maximum.json and multipleOf.json.
func TestNumbersAreDecimals(t *testing.T) {
	for _, c := range []struct {
		schema, value string
		valid         bool
	}{
		{`{"maximum": 3.0}`, `3.0`, true},
		{`{"maximum": 3.0}`, `3.5`, false},
		{`{"maximum": 3}`, `3.0000000000000001`, false},
		{`{"minimum": 1.0}`, `0.9999999999999999999`, false},
		{`{"multipleOf": 0.0001}`, `0.0075`, true},
		{`{"multipleOf": 0.0001}`, `0.00751`, false},
	} {
		if err := compile(t, c.schema).Validate(json.Number(c.value)); (err == nil) != c.valid {
			t.Errorf("%s under %s: %v, want valid %t", c.value, c.schema, err, c.valid)
		}
	}
}

func TestFormatsAreAsserted(t *testing.T) {
	for _, c := range []struct {
		format, value string
		valid         bool
	}{
		{"date-time", `"2026-05-04T08:10:00+02:00"`, true},
		{"date-time", `"2026-05-04 08:10"`, false},
		{"date-time", `20260504`, true}, // no text: the type decides
		{"date", `"2026-05-04"`, true},
		{"date", `"nonsense"`, false},
		{"date", `"0001-01-01"`, false},
	} {
		err := compile(t, fmt.Sprintf(`{"format": %q}`, c.format)).Validate(parse(t, []byte(c.value)))
		if (err == nil) != c.valid {
			t.Errorf("%s as %s: %v, want valid %t", c.value, c.format, err, c.valid)
		}
	}
}
