package examples

import (
	"encoding/json"
	"strings"
	"testing"

	"go.yaml.in/yaml/v3"
)

// TestChange makes single changes, written as in an examples file.
func TestChange(t *testing.T) {
	const doc = `{"a": {"b": 1.260, "~/": 1}, "list": [{"x": {"v": 1}}, {"x": {"v": 2}}], "words": ["one", "two"], "none": []}`
	tests := []struct{ change, want, fault string }{
		{change: `{set: /a/b, to: 1.270}`, want: `{"a": {"b": 1.270, "~/": 1}`},
		{change: `{set: /a/c, to: new}`, want: `"c": "new"`},
		{change: `{set: /a/~0~1, to: false}`, want: `"~/": false`},
		{change: `{set: /list/1/x/v, to: [1, 2.50, null]}`, want: `{"x": {"v": [1, 2.50, null]}}]`},
		{change: `{set: /a/d, to: 2026-05-04}`, want: `"d": "2026-05-04"`},
		{change: `{set: /a/d, to: {e: "1.0", f: true}}`, want: `"d": {"e": "1.0", "f": true}`},
		{change: `{remove: /a/b}`, want: `{"a": {"~/": 1}`},
		{change: `{remove: /list/0}`, want: `"list": [{"x": {"v": 2}}]`},
		{change: `{add: /words/-, value: three}`, want: `["one", "two", "three"]`},
		{change: `{add: /words/2, value: three}`, want: `["one", "two", "three"]`},
		{change: `{add: /words/0, value: zero}`, want: `["zero", "one", "two"]`},
		{change: `{add: /a/c, value: 3}`, want: `"c": 3`},
		{change: `{each: /list/*/x/v, to: 9}`, want: `"list": [{"x": {"v": 9}}, {"x": {"v": 9}}]`},
		{change: `{each: /words/*, to: same}`, want: `["same", "same"]`},
		{change: `{set: /b/c, to: 1}`, fault: `set /b/c: there is no "b"`},
		{change: `{set: /a/b/c, to: 1}`, fault: `"c" is looked for in a single value`},
		{change: `{set: /words/2, to: 1}`, fault: `no element "2" of 2`},
		{change: `{set: /words/01, to: 1}`, fault: `no element "01"`},
		{change: `{set: /words/-, to: 1}`, fault: `no element "-"`},
		{change: `{set: /words/*, to: 1}`, fault: `no element "*"`},
		{change: `{remove: /a/c}`, fault: `there is no "c"`},
		{change: `{remove: /words/5}`, fault: `no element "5"`},
		{change: `{add: /words/3, value: 1}`, fault: `no element "3" of 2`},
		{change: `{add: /a/b, value: 1}`, fault: `"b" is there already`},
		{change: `{each: /none/*, to: 1}`, fault: "nothing is there to change"},
		{change: `{each: /list/*/y/v, to: 1}`, fault: `element 0: there is no "y"`},
		{change: `{set: a, to: 1}`, fault: "starts with /"},
		{change: `{set: /a/b, to: 0x10}`, fault: "no number that a record can hold"},
		{change: `{set: /a/b, to: .5}`, fault: "no number that a record can hold"},
		{change: `{set: /a/b, remove: /a/b, to: 1}`, fault: "set and remove in one change"},
	}
	for _, test := range tests {
		dec := json.NewDecoder(strings.NewReader(doc))
		dec.UseNumber()
		var before any
		if err := dec.Decode(&before); err != nil {
			t.Fatal(err)
		}
		var n yaml.Node
		if err := yaml.Unmarshal([]byte("{base: b, change: ["+test.change+"]}"), &n); err != nil {
			t.Fatal(err)
		}
		v, err := visitOf(resolved(&n))
		var after any
		if err == nil {
			after, err = v.changes[0].apply(copyOf(before))
		}
		if test.fault != "" {
			if err == nil || !strings.Contains(err.Error(), test.fault) {
				t.Errorf("%s: got %v, %v; want an error with %q", test.change, after, err, test.fault)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", test.change, err)
			continue
		}
		out, err := json.Marshal(after)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := string(out), strings.ReplaceAll(strings.ReplaceAll(test.want, ": ", ":"), ", ", ","); !strings.Contains(got, want) {
			t.Errorf("%s: got %s, want it to hold %s", test.change, got, want)
		}
		// The base visit serves other examples.
		if again, _ := json.Marshal(before); !strings.Contains(string(again), `{"b":1.260,"~/":1}`) || strings.Contains(string(again), "new") {
			t.Errorf("%s: the base visit was changed: %s", test.change, again)
		}
	}
}
