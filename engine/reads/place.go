package reads

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/schema"
)

// A loc is something a value can be: a place in the input or in the data of a
// release, or something that a rule built.
type loc interface{ number() int }

// place is one place in the input or in the data.
type place struct {
	id     int
	path   []string // below the root, * for each element of an array
	member func(name string) *place
	every  func() []*place // all members or elements
	single bool            // holds no others
	words  []string        // those that its schema allows; empty where that allows others
	about  string          // what its schema says of it; empty for data
	at     string          // JSON pointer to what the schema says; empty for data
}

func (p *place) number() int { return p.id }

// places hands out places, each once.
type places struct {
	next  int
	defs  map[string]any // of the schema of the input
	known map[string]*place
}

func (ps *places) id() int {
	ps.next++
	return ps.next
}

// input is the place of the input as a whole.
func (ps *places) input() (*place, error) {
	data, err := schema.Bundle("input")
	if err != nil {
		return nil, fmt.Errorf("reading the schema of the rules' input: %w", err)
	}
	var document map[string]any
	if err := json.Unmarshal(data, &document); err != nil {
		return nil, fmt.Errorf("reading the schema of the rules' input: %w", err)
	}
	ps.defs, _ = document["$defs"].(map[string]any)
	return ps.ofSchema([]string{"input"}, "", document), nil
}

// ofSchema is the place of what a schema describes.
func (ps *places) ofSchema(path []string, at string, described map[string]any) *place {
	key := strings.Join(path, "\x00")
	if p, ok := ps.known[key]; ok {
		return p
	}
	about, inside := "", at
	for {
		if about == "" {
			about, _ = described["description"].(string)
		}
		ref, ok := described["$ref"].(string)
		if !ok {
			break
		}
		name := strings.TrimPrefix(ref, "#/$defs/")
		described, _ = ps.defs[name].(map[string]any)
		inside = "/$defs/" + name
	}
	properties, _ := described["properties"].(map[string]any)
	items, isArray := described["items"].(map[string]any)
	below := func(token string, of any) *place {
		inner, ok := of.(map[string]any)
		if !ok {
			return nil
		}
		next := inside + "/properties/" + token
		if token == "*" {
			next = inside + "/items"
		}
		return ps.ofSchema(append(slices.Clip(path), token), next, inner)
	}
	p := &place{id: ps.id(), path: path, single: properties == nil && !isArray, about: about, at: at}
	if list, ok := described["enum"].([]any); ok {
		for _, word := range list {
			if text, ok := word.(string); ok {
				p.words = append(p.words, text)
			}
		}
	}
	ps.known[key] = p
	p.member = func(name string) *place { return below(name, properties[name]) }
	p.every = func() []*place {
		var out []*place
		if isArray {
			out = append(out, below("*", items))
		}
		for name, of := range properties {
			if inner := below(name, of); inner != nil {
				out = append(out, inner)
			}
		}
		return out
	}
	return p
}

// ofData is the place of a value of the release's data. The elements of an array
// are one place.
func (ps *places) ofData(path []string, values []any) *place {
	key := strings.Join(path, "\x00")
	if p, ok := ps.known[key]; ok {
		return p
	}
	members := map[string][]any{}
	var elements []any
	for _, v := range values {
		switch v := v.(type) {
		case map[string]any:
			for name, inner := range v {
				members[name] = append(members[name], inner)
			}
		case []any:
			elements = append(elements, v...)
		}
	}
	below := func(token string, of []any) *place { return ps.ofData(append(slices.Clip(path), token), of) }
	p := &place{id: ps.id(), path: path, single: len(members) == 0 && len(elements) == 0}
	ps.known[key] = p
	p.member = func(name string) *place {
		if of, ok := members[name]; ok {
			return below(name, of)
		}
		return nil
	}
	p.every = func() []*place {
		var out []*place
		if len(elements) > 0 {
			out = append(out, below("*", elements))
		}
		for name, of := range members {
			out = append(out, below(name, of))
		}
		return out
	}
	return p
}

// built is what one term of one rule builds: an object, an array or a set.
type built struct {
	id     int
	fields map[string]*cell // by name or index, where these are written out
	inside *cell            // all else
	keys   *cell            // names that are not written out
	isSet  bool
	by     *unit // whose term it is
}

func (b *built) number() int { return b.id }

// cell is what a value can be. It only grows.
type cell struct{ locs map[loc]bool }

func (c *cell) add(l loc) { c.locs[l] = true }

func (c *cell) addAll(ls []loc) {
	for _, l := range ls {
		c.add(l)
	}
}

func (c *cell) list() []loc {
	out := make([]loc, 0, len(c.locs))
	for l := range c.locs {
		out = append(out, l)
	}
	return out
}
