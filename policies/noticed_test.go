package policies_test

import (
	"os"
	"testing"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/mutation"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

// TestEveryLimitIsNoticed moves each number that rules hold readings against by a
// step to either side: an example of every release must answer otherwise than it
// expects, unless the release lists the number as one that no record can show.
func TestEveryLimitIsNoticed(t *testing.T) {
	if raceDetector {
		t.Skip("the race detector finds nothing here that it does not find where the examples are run")
	}
	for _, version := range releaseFolders(t) {
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
		result, err := mutation.Run(t.Context(), release, set, runner, mutation.Options{Kinds: []mutation.Kind{mutation.Limit}})
		if err != nil {
			t.Fatal(err)
		}
		for _, h := range result.Holes {
			t.Errorf("%s/%s:%d: %s: no example notices %s %s", version, h.File, h.Line, h.Rule, h.Text, h.What)
		}
		if len(result.Counts) != 1 || result.Counts[0].Noticed == 0 {
			t.Errorf("%s: counted %v", version, result.Counts)
		}
	}
}
