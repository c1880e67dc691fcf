package schema

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v5"
)

func decoded(t testing.TB, data []byte) any {
	t.Helper()
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var v any
	if err := dec.Decode(&v); err != nil {
		t.Fatalf("%v: %.80q", err, data)
	}
	return v
}

// The schema of a visit is the one that every record is held against; it must
// not fall back to the library for want of a keyword.
func TestVisitIsCheckedQuickly(t *testing.T) {
	for _, name := range []string{"visit", "input"} {
		v, err := NewValidator(name)
		if err != nil {
			t.Fatal(err)
		}
		if v.quick == nil {
			t.Errorf("%s has a keyword that the quick check does not know", name)
		}
	}
	if _, err := NewValidator("vist"); err == nil {
		t.Error("NewValidator takes an unknown name")
	}
}

// ruleOf returns a schema of the test's own as a rule, which may be nil.
func ruleOf(t *testing.T, text string) *rule {
	t.Helper()
	b := &ruleBuilder{docs: map[string]any{"test": decoded(t, []byte(text))}, rules: map[string]*rule{}, expressions: map[string]*regexp.Regexp{}}
	r, err := b.referred("test", "")
	if err == errUnknown {
		return nil
	}
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Of each keyword the quick check must think as the library does.
func TestQuickCheckAgreesWithLibrary(t *testing.T) {
	values := []string{
		`null`, `true`, `false`, `""`, `"a"`, `"ab"`, `"abc"`, `"é"`, `"éé"`, `"B1.2"`, `"2026-05-04"`, `"2026-02-30"`, `"2026-05-04T08:10:00Z"`, `"2026-05-04T08:10:00"`,
		`0`, `-0`, `1`, `-1`, `2`, `3`, `1.0`, `1.5`, `0.999999999`, `1.000000001`, `1.0000000001`, `999999999.999999999`, `1000000000`, `123456789012345`, `1e0`, `1e2`, `0.1e1`,
		`[]`, `[1]`, `["a"]`, `["a", "b"]`, `["a", 1]`, `[1, 2, 3]`, `[[]]`, `[{"k": "a"}, {"k": "a"}]`, `[{"k": "a"}, {"k": "b"}]`, `[{"k": 1}, {"k": 1}]`, `[{}, {}]`,
		`{}`, `{"a": 1}`, `{"a": "x"}`, `{"b": 1}`, `{"a": 1, "b": 2}`, `{"a": 1, "c": null}`, `{"a": {"a": {"a": 1}}}`, `{"a": {"a": {"a": "x"}}}`, `{"b": "x", "c": 1}`,
	}
	tried := map[bool]int{}
	for _, text := range []string{
		`{}`, `true`, `false`,
		`{"type": "null"}`, `{"type": "boolean"}`, `{"type": "string"}`, `{"type": "number"}`, `{"type": "integer"}`, `{"type": "array"}`, `{"type": "object"}`,
		`{"const": "a"}`, `{"const": true}`, `{"enum": ["a", "B1.2", false]}`, `{"enum": []}`,
		`{"format": "date"}`, `{"format": "date-time"}`, `{"pattern": "^B[1-9]\\.[1-9]$"}`, `{"pattern": "b"}`, `{"minLength": 2}`, `{"maxLength": 1}`, `{"maxLength": 0}`,
		`{"minimum": 1}`, `{"maximum": 1}`, `{"exclusiveMinimum": 1}`, `{"exclusiveMaximum": 1}`, `{"minimum": 1.0000000001}`, `{"maximum": 1e0}`, `{"minimum": -1, "maximum": 1.5}`, `{"maximum": 1000000000}`,
		`{"minItems": 1}`, `{"maxItems": 1}`, `{"maxItems": 0}`, `{"items": {"type": "string"}}`, `{"items": false}`, `{"x-key": "k"}`,
		`{"required": ["a"]}`, `{"required": ["a", "b"]}`, `{"minProperties": 1}`, `{"minProperties": 2}`, `{"properties": {"a": {"type": "number"}}}`, `{"properties": {"a": false}}`,
		`{"additionalProperties": false}`, `{"additionalProperties": true}`, `{"additionalProperties": {"type": "number"}}`, `{"properties": {"a": {}}, "additionalProperties": false}`, `{"properties": {"a": true}, "additionalProperties": {"type": "string"}}`,
		`{"allOf": [{"required": ["a"]}, {"required": ["b"]}]}`, `{"allOf": [true, {"type": "string"}]}`,
		`{"if": {"required": ["a"]}, "then": {"required": ["b"]}}`, `{"if": {"required": ["a"]}, "else": {"required": ["b"]}}`, `{"if": {"properties": {"a": {"const": "x"}}}, "then": {"minProperties": 9}, "else": {"type": "object"}}`, `{"if": false, "then": false}`, `{"then": false, "else": false}`,
		`{"$ref": "#/$defs/a", "$defs": {"a": {"type": "string"}}}`, `{"$ref": "#/$defs/a", "minLength": 2, "$defs": {"a": {"type": "string"}}}`, `{"$ref": "#/$defs/r", "$defs": {"r": {"properties": {"a": {"$ref": "#/$defs/r"}}, "type": ["object", "number"]}}}`,
		`{"$ref": "#/$defs/r", "$defs": {"r": {"properties": {"a": {"$ref": "#/$defs/s"}}}, "s": {"if": {"type": "object"}, "then": {"$ref": "#/$defs/r"}, "else": {"type": "number"}}}}`,
		`{"title": "t", "description": "d", "examples": [1], "$comment": "c"}`,
		// What the quick check does not know it must leave to the library.
		`{"not": {"type": "string"}}`, `{"anyOf": [{"type": "string"}]}`, `{"oneOf": [{"type": "string"}]}`, `{"enum": [1, 2]}`, `{"const": 1}`, `{"const": null}`, `{"type": ["string", "null"]}`, `{"uniqueItems": true}`,
		`{"patternProperties": {"^a": {"type": "string"}}}`, `{"propertyNames": {"maxLength": 0}}`, `{"multipleOf": 2}`, `{"contains": {"const": 1}}`, `{"dependentRequired": {"a": ["b"]}}`, `{"maxProperties": 1}`, `{"format": "email"}`, `{"prefixItems": [false]}`,
		`{"const": "a", "enum": ["b"]}`, `{"properties": {"a": {"$id": "https://visitgauge.invalid/b", "type": "string"}}}`,
	} {
		compiled, err := CompileBytes("https://visitgauge.invalid/test", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		r := ruleOf(t, text)
		for _, value := range values {
			v := decoded(t, []byte(value))
			want := compiled.Validate(v) == nil
			if r == nil {
				tried[false]++
				continue
			}
			tried[true]++
			if got := r.holds(v); got != want {
				t.Errorf("%s under %s: %t, and %t by the library", value, text, got, want)
			}
		}
	}
	if tried[true] < 2000 || tried[false] < 500 {
		t.Errorf("%d values were compared and %d left to the library", tried[true], tried[false])
	}
}

// What is not as a decoded document is left to the library.
func TestQuickCheckTakesDocumentsOnly(t *testing.T) {
	r := ruleOf(t, `{}`)
	for _, v := range []any{1, 1.5, []string{"a"}, map[string]int{}, struct{}{}} {
		if r.holds(v) {
			t.Errorf("%T is taken", v)
		}
	}
}

// Comparing in whole billionths must agree with comparing exactly, on, next to
// and far from the bound, and where it does not apply.
func TestBoundsAreExact(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	count := map[int]int{}
	for range 20_000 {
		digits, decimals := 1+random.IntN(12), random.IntN(12)
		n := big.NewInt(random.Int64N(int64(math.Pow10(min(digits+decimals, 18)))))
		step := big.NewInt(int64(random.IntN(3) - 1))
		a, b := decimalText(n, decimals), decimalText(new(big.Int).Add(n, step), decimals)
		if random.IntN(2) == 0 {
			a += "000"
		}
		if !strings.Contains(a, ".") {
			a = strings.TrimSuffix(a, "000")
		}
		bound, err := newBound(b)
		if err != nil {
			t.Fatal(err)
		}
		x, _ := new(big.Rat).SetString(a)
		y, _ := new(big.Rat).SetString(b)
		want := x.Cmp(y)
		count[want]++
		if got := bound.compare(a); got != want {
			t.Fatalf("%s against %s is %d, want %d", a, b, got, want)
		}
	}
	for _, want := range []int{-1, 0, 1} {
		if count[want] < 1000 {
			t.Errorf("only %d of the comparisons gave %d", count[want], want)
		}
	}
}

// decimalText writes a whole number divided by a power of ten.
func decimalText(n *big.Int, decimals int) string {
	sign, digits := "", n.String()
	if n.Sign() < 0 {
		sign, digits = "-", digits[1:]
	}
	if decimals == 0 {
		return sign + digits
	}
	if len(digits) <= decimals {
		digits = strings.Repeat("0", decimals-len(digits)+1) + digits
	}
	return sign + digits[:len(digits)-decimals] + "." + digits[len(digits)-decimals:]
}

// Every record of a visit that has one value removed, or something else in its
// place, must be judged by the quick check as by the library.
func TestQuickCheckAgreesOnVisits(t *testing.T) {
	data, err := os.ReadFile("../engine/record/testdata/visit.json")
	if err != nil {
		t.Fatal(err)
	}
	validator, err := NewValidator("visit")
	if err != nil {
		t.Fatal(err)
	}
	compiled, err := validator.Compiled()
	if err != nil {
		t.Fatal(err)
	}
	doc := decoded(t, data)
	agree(t, validator, compiled, doc, "as it is")
	valid, invalid := 0, 0
	count := func(ok bool) {
		if ok {
			valid++
		} else {
			invalid++
		}
	}
	puts := []any{nil, true, "", "B1.2", "2026-05-04T08:10:00+02:00", json.Number("-1"), json.Number("2"), []any{}, map[string]any{}}
	var walk func(v any, at string)
	walk = func(v any, at string) {
		switch v := v.(type) {
		case map[string]any:
			for name, member := range v {
				here := at + "/" + name
				walk(member, here)
				delete(v, name)
				count(agree(t, validator, compiled, doc, here+" removed"))
				put := puts[len(here)%len(puts)]
				v[name] = put
				count(agree(t, validator, compiled, doc, fmt.Sprintf("%s is %v", here, put)))
				v[name] = member
			}
			v["unknown"] = true
			count(agree(t, validator, compiled, doc, at+"/unknown added"))
			delete(v, "unknown")
		case []any:
			for i, element := range v {
				here := fmt.Sprintf("%s/%d", at, i)
				walk(element, here)
				v[i] = v[(i+1)%len(v)]
				count(agree(t, validator, compiled, doc, here+" is the next"))
				v[i] = element
			}
		}
	}
	walk(doc, "")
	agree(t, validator, compiled, doc, "as it was")
	t.Logf("%d altered records are valid, %d are not", valid, invalid)
	if valid < 20 || invalid < 500 {
		t.Errorf("%d altered records are valid, %d are not", valid, invalid)
	}
}

// agree holds the document against both, and returns what they say.
func agree(t *testing.T, v *Validator, compiled *jsonschema.Schema, doc any, what string) bool {
	t.Helper()
	quick, library := v.quick.holds(doc), compiled.Validate(doc)
	if quick != (library == nil) {
		t.Errorf("%s: valid %t by the quick check, %v by the library", what, quick, library)
	}
	return quick
}

func TestValidatorExplainsByTheLibrary(t *testing.T) {
	v, err := NewValidator("visit")
	if err != nil {
		t.Fatal(err)
	}
	err = v.Validate(map[string]any{"schema": "visit/1"})
	if _, ok := err.(*jsonschema.ValidationError); !ok {
		t.Errorf("error is %T %v", err, err)
	}
}

func BenchmarkVisit(b *testing.B) {
	data, err := os.ReadFile("../engine/record/testdata/visit.json")
	if err != nil {
		b.Fatal(err)
	}
	doc := decoded(b, data)
	v, err := NewValidator("visit")
	if err != nil {
		b.Fatal(err)
	}
	compiled, err := v.Compiled()
	if err != nil {
		b.Fatal(err)
	}
	b.Run("prepare/quick", func(b *testing.B) {
		for b.Loop() {
			if _, err := NewValidator("visit"); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("prepare/library", func(b *testing.B) {
		for b.Loop() {
			if _, err := Compile("visit"); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("validate/quick", func(b *testing.B) {
		for b.Loop() {
			if v.Validate(doc) != nil {
				b.Fatal("refused")
			}
		}
	})
	b.Run("validate/library", func(b *testing.B) {
		for b.Loop() {
			if compiled.Validate(doc) != nil {
				b.Fatal("refused")
			}
		}
	})
}
