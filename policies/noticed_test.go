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

// TestEveryChangeIsNoticed moves each number that rules hold readings against by a step
// to either side, turns each comparison and leaves each body out: an example of every
// release must answer otherwise than it expects, unless the release lists the change as
// one that no record can show, and what is listed must be needed.
func TestEveryChangeIsNoticed(t *testing.T) {
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
		result, err := mutation.Run(t.Context(), release, set, runner, mutation.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, h := range result.Holes {
			t.Errorf("%s/%s:%d: %s: no example notices %s %s", version, h.File, h.Line, h.Rule, h.Text, h.What)
		}
		for _, u := range result.Unneeded {
			t.Errorf("%s/%s:%d: %s: %s %s: it is noticed, or no longer there", version, u.File, u.Line, u.Rule, u.Text, u.What)
		}
		for _, c := range result.Counts {
			if c.Noticed == 0 {
				t.Errorf("%s: of kind %s, %d changes were tried and none noticed", version, c.Kind, c.Tried)
			}
		}
		if len(result.Counts) != len(mutation.Kinds) {
			t.Errorf("%s: counted %v", version, result.Counts)
		}
	}
}
