package policies_test

import (
	"os"
	"slices"
	"testing"

	"golang.org/x/mod/semver"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

// TestExamples runs the examples of every release in this folder, as it lies on
// disk. Those of the newest release are subtests named after rule and example:
//
//	go test ./policies -run 'TestExamples/condition.battery.weak_cell'
//
// and those of older ones stand below their version. A rule also fails that was
// never seen conforming, never seen nonconforming, neither indeterminate nor
// spared, or that has a line which no example reaches; once all rules were run,
// so does a line of the shared files.
func TestExamples(t *testing.T) {
	versions := releaseFolders(t)
	for _, version := range versions[:len(versions)-1] {
		t.Run(version, func(t *testing.T) { runExamples(t, version) })
	}
	runExamples(t, versions[len(versions)-1])
}

// releaseFolders lists the version folders, oldest first.
func releaseFolders(t *testing.T) []string {
	t.Helper()
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	var versions []string
	for _, e := range entries {
		if e.IsDir() && semver.IsValid("v"+e.Name()) {
			versions = append(versions, e.Name())
		}
	}
	if len(versions) == 0 {
		t.Fatal("there is no release")
	}
	slices.SortFunc(versions, func(a, b string) int { return semver.Compare("v"+a, "v"+b) })
	return versions
}

func runExamples(t *testing.T, version string) {
	release := os.DirFS(version)
	set, err := ruleset.Load(t.Context(), release, ruleset.Options{Version: version})
	if err != nil {
		t.Fatal(err)
	}
	visits, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	runner, err := examples.New(release, set, record.NewDecoder(visits, record.Limits{}))
	if err != nil {
		t.Fatal(err)
	}
	if len(runner.Rules()) == 0 {
		t.Fatal("the release has no rules")
	}
	// The cleanup runs when all subtests have ended. A run of single rules says
	// nothing of the shared files.
	t.Cleanup(func() {
		if problems, complete := runner.Shared(); complete {
			report(t, version, problems)
		}
	})
	for _, rule := range runner.Rules() {
		t.Run(rule, func(t *testing.T) {
			t.Parallel()
			result, err := runner.Rule(t.Context(), rule)
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range result.Examples {
				t.Run(e.Name, func(t *testing.T) { report(t, version, e.Problems) })
			}
			report(t, version, result.Problems)
		})
	}
}

func report(t *testing.T, version string, problems []examples.Problem) {
	t.Helper()
	for _, p := range problems {
		t.Errorf("%s/%s", version, p)
	}
}
