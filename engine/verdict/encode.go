package verdict

import (
	"bytes"
	"encoding/json"
	"fmt"

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
// keep to the schema of verdicts, hold no key twice, and its counts must be those
// of its outcomes; anything else is not a verdict that this tool wrote.
func Decode(schema *jsonschema.Schema, data []byte) (*Verdict, error) {
	plain, err := jcs.Transform(data)
	if err != nil {
		return nil, fmt.Errorf("reading verdict: %w", err)
	}
	dec := json.NewDecoder(bytes.NewReader(plain))
	dec.UseNumber()
	var doc any
	if err := dec.Decode(&doc); err != nil {
		return nil, fmt.Errorf("reading verdict: %w", err)
	}
	if err := schema.Validate(doc); err != nil {
		return nil, fmt.Errorf("reading verdict: %w", err)
	}
	var v Verdict
	if err := json.Unmarshal(plain, &v); err != nil {
		return nil, fmt.Errorf("reading verdict: %w", err)
	}
	if got := Count(v.Outcomes); got != v.Counts {
		return nil, fmt.Errorf("reading verdict of visit %q: its counts %+v are not those of its outcomes, %+v",
			v.Visit.ID, v.Counts, got)
	}
	return &v, nil
}
