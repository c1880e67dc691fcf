package ruleset_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing/fstest"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

func ExampleLoad() {
	set, err := ruleset.Load(context.Background(), os.DirFS("testdata/small"), ruleset.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range set.Rules() {
		fmt.Printf("%s, %s: %s\n", r.Name, r.Severity, r.Title)
	}
	text, unit, _ := set.Limit("battery.full_charge_gravity", "min")
	fmt.Println(text, unit)
	// Output:
	// condition.battery.full_charge_gravity, major: Each cell reads the gravity of a full charge
	// procedure.closing.conditions_judged, minor: No condition of the machine is open
	// procedure.record.steps_recorded, minor: Each step that the class requires stands in the record
	// 1.260 sg
}

func ExampleProblems() {
	release := fstest.MapFS{}
	for _, name := range []string{"limits.yaml", "steps.yaml", "units.yaml", "classes/one.yaml"} {
		data, err := os.ReadFile("testdata/small/" + name)
		if err != nil {
			fmt.Println(err)
			return
		}
		text := strings.Replace(string(data), "decided: direct", "decidd: direct", 1)
		release[name] = &fstest.MapFile{Data: []byte(text)}
	}
	_, err := ruleset.Load(context.Background(), release, ruleset.Options{})
	var problems ruleset.Problems
	if errors.As(err, &problems) {
		for _, p := range problems {
			if p.File == "limits.yaml" && p.Line == 10 {
				fmt.Println(p)
			}
		}
	}
	// Output:
	// limits.yaml: line 10, column 7: /limits/battery/full_charge_gravity: there is no member "decidd" here
	//     mend: did you mean "decided"?
}

func ExampleReleases_InForce() {
	releases, err := ruleset.ReadReleases(fstest.MapFS{
		ruleset.ReleasesFile: {Data: []byte(`
releases:
  - version: 1.0.0
    state: released
    from: "2026-01-01"
    digest: h1:AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=
    author: an author
    approved_by: a quality lead
    note: the first
`)},
		"1.0.0/limits.yaml": {},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	release, err := releases.InForce("2026-05-04")
	fmt.Println(release.Version, err)
	_, err = releases.InForce("2025-12-31")
	fmt.Println(err)
	// Output:
	// 1.0.0 <nil>
	// finding the release in force on 2025-12-31: there is none
	//     mend: name a version; 1.0.0 is released from 2026-01-01 on
}

func ExamplePlaceholders() {
	fmt.Println(ruleset.Placeholders("{subject} reads {gravity}"))
	fmt.Println(ruleset.Placeholders("{subject reads"))
	// Output:
	// [subject gravity] <nil>
	// [] an opening brace without a closing one in "{subject reads"
}
