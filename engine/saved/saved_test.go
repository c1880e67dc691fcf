package saved_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/saved"
)

// golden is a saved verdict of an invented visit.
func golden(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile("../judge/testdata/verdict.golden.json")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestDecode(t *testing.T) {
	d, err := saved.NewDecoder(record.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	text := golden(t)
	v, err := d.Decode(record.Item{Source: "v.json", FirstLine: 1, Data: []byte(text)})
	if err != nil || v.Visit.ID == "" {
		t.Fatalf("%+v, %v", v, err)
	}
	for _, tt := range []struct{ name, text, want string }{
		{"cut off", text[:len(text)/2], "verdict"},
		{"empty", "", "the verdict is empty"},
		{"a list", "[]", "a verdict is a JSON object"},
		{"no JSON", "The record of a visit", `the verdict is no JSON: it starts with "The record of a visit"`},
		{"another version", strings.Replace(text, "verdict/1", "verdict/9", 1), `"verdict/9" is a verdict schema that is not known here`},
		{"twice", strings.Replace(text, `"ignored":`, `"ignored":[],"ignored":`, 1), "twice"},
		{"two of them", text + text, "more after the end of the verdict"},
		{"a word", strings.Replace(text, `"ended_as": "completed"`, `"ended_as": "record"`, 1), `"record"`},
		{"a count", strings.Replace(text, `"conceded": `, `"conceded": 1`, 1), "its counts are not those of its outcomes"},
	} {
		if tt.text == text {
			t.Errorf("%s: nothing was changed", tt.name)
			continue
		}
		v, err := d.Decode(record.Item{Source: "v.jsonl", FirstLine: 7, Data: []byte(tt.text)})
		var ps record.Problems
		if v != nil || !errors.As(err, &ps) || len(ps) == 0 {
			t.Errorf("%s: %v, %v", tt.name, v, err)
			continue
		}
		p := ps[0]
		if p.Source != "v.jsonl" || p.Line < 7 || p.Column < 1 || p.Mend == "" || !strings.Contains(p.Message, tt.want) {
			t.Errorf("%s: %+v, want %q in line 7 or after", tt.name, p, tt.want)
		}
		if strings.Contains(p.Message+p.Mend, "jsonschema") {
			t.Errorf("%s: in the words of the library: %+v", tt.name, p)
		}
	}
	// What could not be read at all is passed on, in the same words.
	_, err = d.Decode(record.Item{Err: record.Problems{{Source: "d", Message: `the directory holds no record "record"`}}})
	var ps record.Problems
	if !errors.As(err, &ps) || ps[0].Message != `the directory holds no verdict "record"` {
		t.Errorf("passed on as %v", err)
	}
}

// Records are found where they stand, however the lines around them end.
func TestRecords(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	one := file("one.json", "{\n  \"id\": \"V-1\",\n  \"ä\": {\"b\": 1}\n}\n")
	lines := file("lines.jsonl", "\n{\"id\":\"V-2\"}\r\n\n  {\"id\":\"V-3\",\"n\":[1,2]}\n{\"id\":\"V-2\"}\n{\"id\":\"V-4\"}")
	var r saved.Records
	digests := map[string]string{}
	for item := range record.NewReader([]string{one, lines}, nil, record.Limits{}).All() {
		if err := r.Add(item); err != nil {
			t.Fatal(err)
		}
		digests[strings.TrimSpace(string(item.Data))] = record.Digest(item.Data)
	}
	if r.Unasked() != 4 {
		t.Errorf("%d records, want 4, one being there twice", r.Unasked())
	}
	for _, tt := range []struct {
		text, source, pointer string
		line, column          int
	}{
		{"{\n  \"id\": \"V-1\",\n  \"ä\": {\"b\": 1}\n}", one, "/ä/b", 3, 14},
		{`{"id":"V-2"}`, lines, "/id", 2, 7},
		{`{"id":"V-3","n":[1,2]}`, lines, "/n/1", 4, 22},
		{`{"id":"V-4"}`, lines, "", 6, 1},
	} {
		found, ok, err := r.Find(digests[tt.text])
		if !ok || err != nil {
			t.Errorf("%s: %t, %v", tt.text, ok, err)
			continue
		}
		line, column, ok := found.Place(tt.pointer)
		if found.Source != tt.source || line != tt.line || column != tt.column || !ok {
			t.Errorf("%s: %s:%d:%d, want %s:%d:%d", tt.text, found.Source, line, column, tt.source, tt.line, tt.column)
		}
		if _, _, ok := found.Place("/nowhere"); ok {
			t.Error("there is a place for what is not there")
		}
	}
	if r.Unasked() != 0 {
		t.Errorf("%d records were not asked for", r.Unasked())
	}
	if _, ok, err := r.Find(record.Digest([]byte("{}"))); ok || err != nil {
		t.Errorf("what was never added is found: %v", err)
	}

	// One that is not there any more as it was is an error, not another place.
	file("one.json", "{\n  \"id\": \"V-9\",\n  \"ä\": {\"b\": 1}\n}\n")
	if _, ok, err := r.Find(digests["{\n  \"id\": \"V-1\",\n  \"ä\": {\"b\": 1}\n}"]); ok || err == nil || !strings.Contains(err.Error(), "changed") {
		t.Errorf("found in a file that changed: %v", err)
	}
	if err := os.Remove(lines); err != nil {
		t.Fatal(err)
	}
	if _, ok, err := r.Find(digests[`{"id":"V-4"}`]); ok || err == nil {
		t.Errorf("found in a file that is gone: %v", err)
	}
	var ps record.Problems
	if err := r.Add(record.Item{Source: dir, FirstLine: 1, Data: []byte("{}")}); !errors.As(err, &ps) {
		t.Errorf("something that is no file was added: %v", err)
	}
}
