package judge

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// TestSheetOfSilentRelease takes the record's part alone from a release that lays
// out no figures.
func TestSheetOfSilentRelease(t *testing.T) {
	rec := testRecord(t, allGood, nil)
	s, err := newJudge(t).Sheet(context.Background(), Case{Record: rec})
	if err != nil {
		t.Fatal(err)
	}
	if s.Figures != nil {
		t.Errorf("figures %+v from a release that has none", s.Figures)
	}
	if s.Visit.ID != rec.ID() || s.Visit.Note != allGood || len(s.Visit.People) == 0 {
		t.Errorf("the sheet does not say what the record does: %+v", s.Visit)
	}
}

// TestSheetOfFaultyRelease refuses a release that lays out some of the figures
// only, or what no sheet has.
func TestSheetOfFaultyRelease(t *testing.T) {
	const head = `# METADATA
# title: Figures
# description: For a test.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
`
	empty := head + "package shared.sheet\n"
	for member, name := range layout {
		if part, ok := strings.CutPrefix(name, "shared.sheet."); ok && member != "means" {
			empty += "\n" + part + " := []\n"
		}
	}
	due := head + "package shared.due\n\nservices := []\n"
	tests := []struct{ name, means, want string }{
		{"not all there", "", "shared.sheet.means"},
		{"an unknown member", `means := [{"when": "left", "of": "1", "mean": {"number": 5, "scale": 4, "place": 3, "unit": "sg"}, "score": "7"}]`, "score"},
		{"a number of no size", `means := [{"when": "left", "of": "1", "mean": {"number": 5, "scale": 0, "place": 3, "unit": "sg"}}]`, "scale is 0"},
		{"as it should be", `means := [{"when": "left", "of": "1", "mean": {"number": 5, "scale": 4, "place": 3, "unit": "sg"}}]`, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			release := folder(t, "testdata/release")
			delete(release, "catalogue.json")
			release["shared/sheet.rego"] = &fstest.MapFile{Data: []byte(empty + "\n" + tt.means + "\n")}
			release["shared/due.rego"] = &fstest.MapFile{Data: []byte(due)}
			set, err := ruleset.Load(t.Context(), release, ruleset.Options{Version: "0.1.0"})
			if err != nil {
				t.Fatal(err)
			}
			j, err := New(t.Context(), set)
			if err != nil {
				t.Fatal(err)
			}
			s, err := j.Sheet(t.Context(), Case{Record: testRecord(t, allGood, nil)})
			if tt.want == "" {
				if err != nil {
					t.Fatal(err)
				}
				if got := s.Figures.Means[0].Mean.Text; got != "1.250" {
					t.Errorf("5/4 is printed as %q, want 1.250", got)
				}
				return
			}
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Fatalf("error %v, want %q in it", err, tt.want)
			}
			var fault *Fault
			if !errors.As(err, &fault) {
				t.Errorf("%v is no fault of the release", err)
			}
		})
	}
}

// folder reads a folder, so that a test may change it.
func folder(t *testing.T, name string) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	err := fs.WalkDir(os.DirFS(name), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(os.DirFS(name), path)
		out[path] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}
