package policies_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"go.yaml.in/yaml/v3"
)

// The lists of what may be silent stand in this folder, one a test.
const silenceFolder = "../testdata/silence"

// An excuse is an entry of such a list: a change that is let pass, and why.
type excuse struct {
	// At is what is changed: a JSON pointer with * for every index.
	At string `yaml:"at"`
	// Of is what the element or object changed must hold, for an entry that
	// speaks of some elements of a list only.
	Of map[string]string `yaml:"of"`
	// Change is what is done to it, in the words of the test; empty where the test
	// makes one kind of change only.
	Change string `yaml:"change"`
	// Turns is what it turns: acceptance, serviceability or the name of a rule.
	Turns string `yaml:"turns"`
	// Shown is the rule by which the verdict shows the change all the same, as a
	// minor finding; empty if nothing shows it.
	Shown string `yaml:"shown"`
	// Because is the reason, for a person to judge.
	Because string `yaml:"because"`
}

// excuses are a list, and which of its entries were needed.
type excuses struct {
	file string
	list []excuse
	used []bool
}

func readExcuses(t *testing.T, name string) *excuses {
	t.Helper()
	e := &excuses{file: filepath.Join(silenceFolder, name)}
	data, err := os.ReadFile(e.file)
	if err != nil {
		t.Fatal(err)
	}
	dec := yaml.NewDecoder(bytes.NewReader(data))
	dec.KnownFields(true)
	var file struct {
		Excuses []excuse `yaml:"excuses"`
	}
	if err := dec.Decode(&file); err != nil {
		t.Fatalf("%s: %v", e.file, err)
	}
	e.list, e.used = file.Excuses, make([]bool, len(file.Excuses))
	seen := map[string]bool{}
	for _, x := range e.list {
		if x.At == "" || x.Because == "" {
			t.Errorf("%s: an entry without at or because: %+v", e.file, x)
		}
		key := fmt.Sprint(x.At, x.Of, x.Change, x.Turns)
		if seen[key] {
			t.Errorf("%s: listed twice: %s %s %s", e.file, x.At, x.Change, x.Turns)
		}
		seen[key] = true
	}
	return e
}

// find returns the entry for what came of a change, and takes note that it was
// needed.
func (e *excuses) find(r result, change, turns string) (excuse, bool) {
	for i, x := range e.list {
		if x.At == r.pattern && x.Change == change && x.Turns == turns && holds(r.was, x.Of) {
			e.used[i] = true
			return x, true
		}
	}
	return excuse{}, false
}

// holds reports whether v is an object with the fields given.
func holds(v any, fields map[string]string) bool {
	for name, want := range fields {
		if at(v, name) != want {
			return false
		}
	}
	return true
}

// demandUse fails for entries of the given kinds of change that nothing needed, so
// that a list never says more than it must.
func (e *excuses) demandUse(t *testing.T, changes ...string) {
	if raceDetector || !*every && !slices.Contains(changes, "") {
		return // too few were tried to tell
	}
	t.Helper()
	for i, x := range e.list {
		if !e.used[i] && slices.Contains(changes, x.Change) {
			t.Errorf("%s: not needed: %s %v %s %s", e.file, x.At, x.Of, x.Change, x.Turns)
		}
	}
}
