package reads

import (
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// TestRows holds to what the rules of a released, frozen folder say, some of them changed:
// each rule of condition.machine takes one group of the ranges, and
// procedure.record.readings_recorded takes all.
func TestRows(t *testing.T) {
	rows := Path{"data", "classes", "ride-on-flooded", "ranges", "*"}
	tests := []struct {
		name, rule, old, new string // what is changed in the rule's file
		field                string
		words                []string
	}{
		{"by its group", "condition.machine.wear_within_limits", "", "", "group", []string{"wear"}},
		{"by two groups", "condition.machine.vacuum_within_limits", "nonconforming contains", `subjects contains s if some s in object.get(ranges.wanted, "deck", set())

nonconforming contains`, "group", []string{"deck", "vacuum"}},
		{"all rows", "procedure.record.readings_recorded", "", "", "", nil},
		{"any group", "condition.machine.deck_within_limits", `object.get(ranges.wanted, "deck", set())`, "ranges.wanted[_]", "", nil},
		{"a row beside them", "condition.machine.flow_within_limits", "facts[subject] contains fact if {", `facts[subject] contains {"name": "any", "text": r.title} if {
	some subject in subjects
	some r in visit.class.ranges
}

facts[subject] contains fact if {`, "", nil},
		{"no rows of a class", "condition.battery.sealed_voltage", "", "", "", nil},
	}
	files := copied(t, "../../policies/1.1.0")
	for _, test := range tests {
		file := files[strings.ReplaceAll(test.rule, ".", "/")+".rego"]
		text := strings.ReplaceAll(string(file.Data), test.old, test.new)
		if test.old != "" && text == string(file.Data) {
			t.Fatalf("%q is not in %s", test.old, test.rule)
		}
		if test.old != "" {
			file.Data = []byte(text)
		}
	}
	set, err := ruleset.Load(t.Context(), files, ruleset.Options{})
	if err != nil {
		t.Fatal(err)
	}
	found, err := Find(set)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if field, words := found.Rows(test.rule, rows); field != test.field || !slices.Equal(words, test.words) {
				t.Errorf("by %q, %q; want %q, %q", field, words, test.field, test.words)
			}
		})
	}
}

func copied(t *testing.T, dir string) fstest.MapFS {
	t.Helper()
	from, files := os.DirFS(dir), fstest.MapFS{}
	err := fs.WalkDir(from, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(from, name)
		files[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}
