package ruleset

import (
	"bytes"
	"encoding/json"
	"errors"
	"maps"
	"reflect"
	"testing"

	"go.yaml.in/yaml/v3"
)

// Whatever stands in one of its files, a release is loaded whole or refused
// with problems, and never half.
func FuzzLoad(f *testing.F) {
	release := small(f)
	names := make([]string, 0, len(release))
	for i, name := range keysOf(release) {
		names = append(names, name)
		f.Add(i, release[name].Data)
	}
	f.Add(0, []byte("\xff\xfe"))
	f.Add(1, []byte("a: &a [*a]"))
	f.Add(2, []byte("package x\np contains {} if {"))
	f.Fuzz(func(t *testing.T, file int, content []byte) {
		if file < 0 || file >= len(names) || len(content) > 1<<16 {
			return
		}
		release := maps.Clone(release)
		write(release, names[file], string(content))
		set, err := Load(t.Context(), release, Options{})
		if (set == nil) == (err == nil) {
			t.Fatalf("%v came with %v", set, err)
		}
		if err == nil {
			return
		}
		var problems Problems
		if !errors.As(err, &problems) || len(problems) == 0 {
			t.Fatalf("the error is no list of problems: %v", err)
		}
		for _, p := range problems {
			if p.Message == "" {
				t.Errorf("a problem says nothing: %+v", p)
			}
		}
	})
}

// What our reader of YAML takes, the library's decoder takes for the same
// value: nothing is lost or read otherwise by refusing what is doubtful.
func FuzzYAML(f *testing.F) {
	for _, seed := range []string{
		"a: 1.260\nb: [x, \"y\", 'z', true, null]\n", "a: |\n  text\n  more\n", "{a: {b: {c: -0.5}}}", "- 1\n- 2\n", "a: 2026-01-01\n",
		"\"1\": x\n", "a: ~\n", "a: <<\n", "? a\n: b\n", "a: 0x1F\n", "a: \"\\u00e9\"\n", "%YAML 1.2\n---\na: 1\n", "a: 01\n", "a: 1_000\n", "a: +1\n", "a: .5\n",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		d, problems := parseYAML("x.yaml", data)
		if (d == nil) == (len(problems) == 0) {
			t.Fatalf("a document %v came with %v", d, problems)
		}
		if d == nil {
			return
		}
		var root yaml.Node
		if err := yaml.Unmarshal(data, &root); err != nil {
			t.Fatalf("the library refuses it: %v", err)
		}
		textDays(&root)
		var want any
		if err := root.Decode(&want); err != nil {
			t.Fatalf("the library refuses it: %v", err)
		}
		if got := asJSON(t, d.value); !reflect.DeepEqual(got, asJSON(t, want)) {
			t.Errorf("read as %v, the library reads %v", got, want)
		}
	})
}

// textDays makes days text, as OPA does before it decodes.
func textDays(n *yaml.Node) {
	if n.Tag == "!!timestamp" {
		n.Tag = "!!str"
	}
	for _, c := range n.Content {
		textDays(c)
	}
}

func asJSON(t *testing.T, v any) any {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var out any
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// What our reader of JSON takes, encoding/json takes for the same value.
func FuzzJSON(f *testing.F) {
	for _, seed := range []string{`{"a": [1.260, -0, "x", null, true, {}]}`, `[]`, `{"a": 1, "a": 2}`, `{"a": 1e3}`, `"\ud800"`, `{} {}`, `{"a"`, ` 12 `} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		d, problems := parseJSON("x.json", data)
		if (d == nil) == (len(problems) == 0) {
			t.Fatalf("a document %v came with %v", d, problems)
		}
		if d == nil {
			return
		}
		dec := json.NewDecoder(bytes.NewReader(data))
		dec.UseNumber()
		var want any
		if err := dec.Decode(&want); err != nil {
			t.Fatalf("encoding/json refuses it: %v", err)
		}
		if !reflect.DeepEqual(d.value, want) {
			t.Errorf("read as %v, encoding/json reads %v", d.value, want)
		}
	})
}
