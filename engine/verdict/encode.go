package verdict

import (
	"bytes"
	"encoding/json"
	"fmt"

	strict "github.com/go-json-experiment/json"
	"github.com/gowebpki/jcs"
	"github.com/santhosh-tekuri/jsonschema/v5"
)

// Canonical is v as canonical JSON by RFC 8785: no white space, members sorted
// by UTF-16 code units, numbers as ECMAScript writes them. It ends in no line
// feed.
func Canonical(v any) ([]byte, error) {
	var plain bytes.Buffer
	enc := json.NewEncoder(&plain)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return nil, fmt.Errorf("encoding as JSON: %w", err)
	}
	out, err := jcs.Transform(plain.Bytes())
	if err != nil {
		return nil, fmt.Errorf("bringing JSON into canonical form: %w", err)
	}
	return out, nil
}

// Encode is the verdict as canonical JSON. Lists that are empty are written as
// empty lists, never as null.
func Encode(v *Verdict) ([]byte, error) {
	c := *v
	c.Earlier = orEmpty(c.Earlier)
	c.Tags = orEmpty(c.Tags)
	c.Restrictions = orEmpty(c.Restrictions)
	c.Outcomes = orEmpty(c.Outcomes)
	c.Ignored = orEmpty(c.Ignored)
	out, err := Canonical(&c)
	if err != nil {
		return nil, fmt.Errorf("verdict of visit %q: %w", v.Visit.ID, err)
	}
	return out, nil
}

func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// Decode reads a saved verdict. It need not be in canonical form, but it must
// keep to the schema of verdicts, hold no key twice, and agree with itself: its
// counts are those of its outcomes, and it needs attention where its answers say
// so. Anything else is not a verdict that this tool wrote. An error of the schema
// is in the words of the library; package saved has plainer ones.
func Decode(schema *jsonschema.Schema, data []byte) (*Verdict, error) {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var doc any
	if err := dec.Decode(&doc); err != nil {
		return nil, fmt.Errorf("reading verdict: %w", err)
	}
	if err := schema.Validate(doc); err != nil {
		return nil, fmt.Errorf("reading verdict: %w", err)
	}
	// The decoder above lets a key stand twice, and text after the end.
	var v Verdict
	if err := strict.Unmarshal(data, &v); err != nil {
		return nil, fmt.Errorf("reading verdict: %w", err)
	}
	if Count(v.Outcomes) != v.Counts {
		return nil, fmt.Errorf("reading verdict of visit %q: its counts are not those of its outcomes", v.Visit.ID)
	}
	// A report may leave out what needs no attention.
	if good := v.Acceptance.Value == Accepted && v.Serviceability == Serviceable; good == v.NeedsAttention {
		return nil, fmt.Errorf("reading verdict of visit %q: it says needs_attention %t, its answers are %s and %s",
			v.Visit.ID, v.NeedsAttention, v.Acceptance.Value, v.Serviceability)
	}
	return &v, nil
}
