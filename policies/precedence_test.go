package policies_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"go.yaml.in/yaml/v3"
)

// TestPrecedencePairsAreExamples demands, for every pair of steps in the order
// of every class, an example of procedure.record.order_kept that moves the later
// step to just before the earlier one and expects it to be nonconforming.
func TestPrecedencePairsAreExamples(t *testing.T) {
	versions := releaseFolders(t)
	release := versions[len(versions)-1]

	type example struct {
		Base   string
		Change []struct {
			Remove, Add string
			Value       any
		}
		Expect map[string]any
	}
	var file struct {
		Examples []example `yaml:"order_kept"`
	}
	readYAML(t, filepath.Join(release, "examples/procedure/record/order_kept.yaml"), &file)

	type pair struct{ class, before, after string }
	shown := map[pair]bool{}
	for _, e := range file.Examples {
		if len(e.Change) != 2 || e.Change[0].Remove == "" || e.Change[1].Add == "" {
			continue
		}
		steps := baseSteps(t, release, e.Base)
		moved, target := place(e.Change[0].Remove), place(e.Change[1].Add)
		value, _ := e.Change[1].Value.(map[string]any)
		if target < 0 || target >= moved || moved >= len(steps) || steps[moved] != value["step"] {
			continue
		}
		if e.Expect["step "+steps[moved]] == "nonconforming" {
			shown[pair{e.Base, steps[target], steps[moved]}] = true
		}
	}

	classes, err := filepath.Glob(filepath.Join(release, "classes/*.yaml"))
	if err != nil || len(classes) == 0 {
		t.Fatalf("no classes: %v", err)
	}
	for _, path := range classes {
		var class map[string]struct {
			Precedence []struct{ Before, After string }
		}
		readYAML(t, path, &class)
		for id, c := range class {
			if len(c.Precedence) == 0 {
				t.Errorf("class %s has no order of steps", id)
			}
			for _, p := range c.Precedence {
				if !shown[pair{id, p.Before, p.After}] {
					t.Errorf("class %s: no example puts %s before %s", id, p.After, p.Before)
				}
			}
		}
	}
}

// place is the index in a pointer such as /steps/4, -1 for another pointer.
func place(pointer string) int {
	index, ok := strings.CutPrefix(pointer, "/steps/")
	n, err := strconv.Atoi(index)
	if !ok || err != nil {
		return -1
	}
	return n
}

// baseSteps are the steps of a base visit, in the order of its record.
func baseSteps(t *testing.T, release, base string) []string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(release, "examples/base", base+".json"))
	if err != nil {
		t.Fatal(err)
	}
	var visits map[string]struct {
		Steps []struct{ Step string }
	}
	if err := json.Unmarshal(data, &visits); err != nil {
		t.Fatal(err)
	}
	var steps []string
	for _, s := range visits[base].Steps {
		steps = append(steps, s.Step)
	}
	return steps
}

func readYAML(t *testing.T, path string, into any) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := yaml.Unmarshal(data, into); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
}
