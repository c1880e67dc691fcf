package policies_test

import (
	"encoding/json"
	"testing"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/policies"
	"github.com/visitgauge/visitgauge/schema"
)

// Every release that is shipped must load, under its digest if it has one, with
// native helpers and without.
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

// A unit that a record may use and a release does not know would leave every
// reading in it without proof, and nobody would be told why.
func TestRecordUnitsAreKnown(t *testing.T) {
	data, err := schema.Bundle("visit")
	if err != nil {
		t.Fatal(err)
	}
	var document any
	if err := json.Unmarshal(data, &document); err != nil {
		t.Fatal(err)
	}
	codes := map[string]bool{}
	collectUnits(document, codes)
	if len(codes) < 10 {
		t.Fatalf("the record schema names only the units %v", codes)
	}
	releases, err := ruleset.ReadReleases(policies.FS)
	if err != nil {
		t.Fatal(err)
	}
	for _, entry := range releases.All() {
		set, err := releases.Open(t.Context(), entry, false)
		if err != nil {
			t.Fatal(err)
		}
		for code := range codes {
			if _, ok := set.Unit(code); !ok {
				t.Errorf("release %s does not know the unit %q that a record may use", entry.Version, code)
			}
		}
	}
}

// collectUnits finds the words of every field called unit.
func collectUnits(v any, codes map[string]bool) {
	switch v := v.(type) {
	case []any:
		for _, e := range v {
			collectUnits(e, codes)
		}
	case map[string]any:
		if properties, ok := v["properties"].(map[string]any); ok {
			if unit, ok := properties["unit"].(map[string]any); ok {
				words, _ := unit["enum"].([]any)
				for _, w := range words {
					if code, ok := w.(string); ok {
						codes[code] = true
					}
				}
			}
		}
		for _, e := range v {
			collectUnits(e, codes)
		}
	}
}
