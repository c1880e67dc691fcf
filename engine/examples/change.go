package examples

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// change is one change made to a visit.
type change struct {
	line int
	op   string // set, each, add or remove
	path []string
	to   any // for all but remove
}

// tokens splits a JSON pointer (RFC 6901) into its tokens.
func tokens(pointer string) ([]string, error) {
	if pointer == "" || pointer[0] != '/' {
		return nil, fmt.Errorf("%q is no pointer to a field: it starts with /", pointer)
	}
	out := strings.Split(pointer[1:], "/")
	for i, t := range out {
		out[i] = strings.ReplaceAll(strings.ReplaceAll(t, "~1", "/"), "~0", "~")
	}
	return out, nil
}

// apply makes the change and gives the document back. What a change speaks of
// must be there, so that none misses its mark in silence.
func (c change) apply(doc any) (any, error) {
	out, n, err := c.at(doc, c.path)
	if err == nil && n == 0 {
		err = fmt.Errorf("nothing is there to change")
	}
	if err != nil {
		return nil, fmt.Errorf("%s /%s: %w", c.op, strings.Join(c.path, "/"), err)
	}
	return out, nil
}

// at makes the change below v and counts the places changed.
func (c change) at(v any, path []string) (any, int, error) {
	if len(path) == 0 {
		return copyOf(c.to), 1, nil
	}
	token, rest := path[0], path[1:]
	switch v := v.(type) {
	case map[string]any:
		return c.inObject(v, token, rest)
	case []any:
		return c.inArray(v, token, rest)
	}
	return nil, 0, fmt.Errorf("%q is looked for in a single value", token)
}

func (c change) inObject(v map[string]any, name string, rest []string) (any, int, error) {
	old, there := v[name]
	switch {
	case len(rest) == 0 && c.op == "add" && there:
		return nil, 0, fmt.Errorf("%q is there already: use set", name)
	case len(rest) == 0 && c.op == "remove" && there:
		delete(v, name)
		return v, 1, nil
	case !there && (len(rest) > 0 || c.op == "remove"):
		return nil, 0, fmt.Errorf("there is no %q", name)
	}
	e, n, err := c.at(old, rest)
	if err != nil {
		return nil, 0, err
	}
	v[name] = e
	return v, n, nil
}

func (c change) inArray(v []any, token string, rest []string) (any, int, error) {
	if token == "*" && c.op == "each" {
		changed := 0
		for i := range v {
			e, n, err := c.at(v[i], rest)
			if err != nil {
				return nil, 0, fmt.Errorf("element %d: %w", i, err)
			}
			v[i] = e
			changed += n
		}
		return v, changed, nil
	}
	if token == "-" && len(rest) == 0 && c.op == "add" {
		return append(v, copyOf(c.to)), 1, nil
	}
	i, err := strconv.Atoi(token)
	end := len(v)
	if len(rest) == 0 && c.op == "add" {
		end++ // before an element, or behind the last
	}
	if err != nil || i < 0 || i >= end || token != strconv.Itoa(i) {
		return nil, 0, fmt.Errorf("there is no element %q of %d", token, len(v))
	}
	switch {
	case len(rest) == 0 && c.op == "add":
		return slices.Insert(v, i, copyOf(c.to)), 1, nil
	case len(rest) == 0 && c.op == "remove":
		return slices.Delete(v, i, i+1), 1, nil
	}
	e, n, err := c.at(v[i], rest)
	if err != nil {
		return nil, 0, err
	}
	v[i] = e
	return v, n, nil
}
