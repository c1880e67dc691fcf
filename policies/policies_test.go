package policies_test

import (
	"testing"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/policies"
)

// Every release that is shipped must load, under its digest if it has one, and
// answer alike with native helpers.
func TestReleasesLoad(t *testing.T) {
	releases, err := ruleset.ReadReleases(policies.FS)
	if err != nil {
		t.Fatal(err)
	}
	if len(releases.All()) == 0 {
		t.Fatal("there is no release")
	}
	for _, entry := range releases.All() {
		t.Run(entry.Version, func(t *testing.T) {
			for _, native := range []bool{false, true} {
				set, err := releases.Open(t.Context(), entry, native)
				if err != nil {
					t.Fatal(err)
				}
				if set.Version() != entry.Version {
					t.Errorf("the set calls itself %s", set.Version())
				}
				if len(set.Rules()) == 0 {
					t.Error("the release has no rules")
				}
			}
		})
	}
}
