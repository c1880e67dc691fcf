package judge

import (
	"context"
	"encoding/json"
	"os"
	"strings"
	"sync"
	"testing"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

// The release in testdata is made for these tests: its rule as_told answers
// whatever the note of a visit says, right or wrong, and no_gravity explains
// itself by every form of fact.
var loadRelease = sync.OnceValues(func() (*ruleset.Set, error) {
	return ruleset.Load(context.Background(), os.DirFS("testdata/release"), ruleset.Options{Version: "0.1.0"})
})

var newDecoder = sync.OnceValues(func() (*record.Decoder, error) {
	visits, err := schema.Compile("visit")
	if err != nil {
		return nil, err
	}
	return record.NewDecoder(visits, record.Limits{}), nil
})

func testSet(t testing.TB) *ruleset.Set {
	t.Helper()
	set, err := loadRelease()
	if err != nil {
		t.Fatal(err)
	}
	return set
}

// edits are fields of the base visit to replace, by pointer; nil removes.
type edits map[string]any

// testRecord is the base visit with a note and some fields replaced.
func testRecord(t testing.TB, note string, changed edits) *record.Record {
	t.Helper()
	data, err := os.ReadFile("testdata/release/examples/base/small.json")
	if err != nil {
		t.Fatal(err)
	}
	dec := json.NewDecoder(strings.NewReader(string(data)))
	dec.UseNumber()
	var file map[string]map[string]any
	if err := dec.Decode(&file); err != nil {
		t.Fatal(err)
	}
	doc := file["small"]
	if note != "" {
		doc["note"] = note
	}
	for pointer, value := range changed {
		names := strings.Split(pointer, "/")[1:]
		parent := doc
		for _, name := range names[:len(names)-1] {
			var ok bool
			if parent, ok = parent[name].(map[string]any); !ok {
				t.Fatalf("%s has no object to stand in", pointer)
			}
		}
		if value == nil {
			delete(parent, names[len(names)-1])
			continue
		}
		parent[names[len(names)-1]] = value
	}
	out, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	decoder, err := newDecoder()
	if err != nil {
		t.Fatal(err)
	}
	rec, err := decoder.Decode("test", 1, out)
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// allGood is a note by which every cell that as_told asks for is good.
const allGood = "cell B1.1 = good; cell B1.2 = good; cell B1.10 = good"
