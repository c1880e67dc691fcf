package record

import (
	"encoding/json"
	"os"
	"slices"
	"testing"
)

// The document and what its pointers give are those of RFC 6901, section 5.
func TestResolve(t *testing.T) {
	data, err := os.ReadFile("testdata/rfc6901.json")
	if err != nil {
		t.Fatal(err)
	}
	doc, flaws := scan(data, Limits{}.filled())
	if len(flaws) > 0 {
		t.Fatal(flaws)
	}
	for pointer, want := range map[string]string{
		"":       "",
		"/foo":   `["bar","baz"]`,
		"/foo/0": `"bar"`,
		"/":      "0",
		"/a~1b":  "1",
		"/c%d":   "2",
		"/e^f":   "3",
		"/g|h":   "4",
		`/i\j`:   "5",
		`/k"l`:   "6",
		"/ ":     "7",
		"/m~0n":  "8",
	} {
		v, ok := resolve(doc, pointer)
		got, err := json.Marshal(v)
		if !ok || err != nil || want != "" && string(got) != want {
			t.Errorf("%q is %s (%t, %v), want %s", pointer, got, ok, err, want)
		}
	}
}

// The cases are those of json-schema-org's JSON-Schema-Test-Suite,
// tests/draft2020-12/optional/format/json-pointer.json.
func TestParsePointer(t *testing.T) {
	for _, pointer := range []string{"", "/foo", "/foo/0", "/", "/a~1b", "/c%d", "/e^f", "/g|h", `/i\j`, `/k"l`, "/ ", "/m~0n"} {
		p, ok := parsePointer(pointer)
		if !ok {
			t.Errorf("%q is refused", pointer)
		} else if back := path(p).pointer(); back != pointer {
			t.Errorf("%q is %q there and back", pointer, back)
		}
	}
	for _, pointer := range []string{"/foo/bar~", "#", "#/", "#a", "/~2", "/~~", "a", "0", "a/a"} {
		if _, ok := parsePointer(pointer); ok {
			t.Errorf("%q is taken", pointer)
		}
	}
}

// RFC 6901, section 4: "~1" is unescaped before "~0", so that "~01" is "~1".
func TestPointerEscapes(t *testing.T) {
	p, ok := parsePointer("/~01/~10")
	if !ok || !slices.Equal(p, []string{"~1", "/0"}) {
		t.Errorf("parts are %q", p)
	}
	if got := (path{"~1", "/0"}).pointer(); got != "/~01/~10" {
		t.Errorf("written back: %q", got)
	}
}

// The schema library writes locations as JSON pointers that are escaped as for
// a URL on top.
func TestParseLocation(t *testing.T) {
	for location, want := range map[string][]string{
		"":                      nil,
		"/battery/cells/0":      {"battery", "cells", "0"},
		"/a~1b/m~0n":            {"a/b", "m~n"},
		"/50%25/gr%C3%BC%C3%9F": {"50%", "grüß"},
		"/":                     {""},
	} {
		if got := parseLocation(location); !slices.Equal(got, want) {
			t.Errorf("%q is %q, want %q", location, got, want)
		}
	}
}
