package schema

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
)

// Bundle returns the schema of that name in one piece: the $defs of every
// embedded schema that it refers to, directly or not, stand among its own, and
// all references are local. It is for readers that resolve nothing outside one
// document, as the type checker of the rules; made from the files by code, it
// cannot drift from them. Keys are sorted, so that equal files give equal
// bytes.
//
// Two different definitions of one name are an error, since one of them would
// have to be renamed behind its author's back.
func Bundle(name string) ([]byte, error) {
	b := bundler{defs: map[string]any{}, from: map[string]string{}}
	root, err := b.take(name)
	if err != nil {
		return nil, fmt.Errorf("bundling schema %q: %w", name, err)
	}
	for done := (map[string]bool{name: true}); len(b.wanted) > 0; {
		next := b.wanted[0]
		b.wanted = b.wanted[1:]
		if done[next] {
			continue
		}
		done[next] = true
		if _, err := b.take(next); err != nil {
			return nil, fmt.Errorf("bundling schema %q: %w", name, err)
		}
	}
	root["$defs"] = b.defs
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(root); err != nil {
		return nil, fmt.Errorf("bundling schema %q: %w", name, err)
	}
	return out.Bytes(), nil
}

type bundler struct {
	defs   map[string]any
	from   map[string]string // definition to the schema it was taken from
	wanted []string          // schemas referred to, taken or not
}

// take adds the definitions of one schema, with references made local, and
// returns the rest of it.
func (b *bundler) take(name string) (map[string]any, error) {
	data, err := Read(name)
	if err != nil {
		return nil, err
	}
	var doc map[string]any
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber() // numbers are copied as written
	if err := dec.Decode(&doc); err != nil {
		return nil, fmt.Errorf("reading %s: %w", name+suffix, err)
	}
	if err := b.localise(doc); err != nil {
		return nil, fmt.Errorf("in %s: %w", name+suffix, err)
	}
	defs, _ := doc["$defs"].(map[string]any)
	delete(doc, "$defs")
	for _, def := range slices.Sorted(maps.Keys(defs)) {
		if other, taken := b.defs[def]; taken && !reflect.DeepEqual(other, defs[def]) {
			return nil, fmt.Errorf("%s defines %q otherwise than %s does", name+suffix, def, b.from[def]+suffix)
		}
		b.defs[def], b.from[def] = defs[def], name
	}
	return doc, nil
}

// localise rewrites each $ref to a definition of another embedded schema into
// one to a definition of the same document, and notes that schema as wanted.
func (b *bundler) localise(v any) error {
	switch v := v.(type) {
	case []any:
		for _, e := range v {
			if err := b.localise(e); err != nil {
				return err
			}
		}
	case map[string]any:
		for _, key := range slices.Sorted(maps.Keys(v)) {
			ref, isText := v[key].(string)
			if key != "$ref" || !isText {
				if err := b.localise(v[key]); err != nil {
					return err
				}
				continue
			}
			file, fragment, _ := strings.Cut(strings.TrimPrefix(ref, Base), "#")
			if file == "" {
				continue
			}
			if !strings.HasSuffix(file, suffix) || !strings.HasPrefix(fragment, "/$defs/") {
				return fmt.Errorf("reference %q does not name a definition of an embedded schema", ref)
			}
			b.wanted = append(b.wanted, strings.TrimSuffix(file, suffix))
			v[key] = "#" + fragment
		}
	}
	return nil
}
