package judge_test

import (
	"context"
	"encoding/json"
	"fmt"
	"os"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

// A release is loaded once, and judges any number of visits.
func ExampleJudge() {
	ctx := context.Background()
	v, err := func() (string, error) {
		set, err := ruleset.Load(ctx, os.DirFS("testdata/release"), ruleset.Options{Version: "0.1.0"})
		if err != nil {
			return "", err
		}
		j, err := judge.New(ctx, set)
		if err != nil {
			return "", err
		}
		visits, err := schema.Compile("visit")
		if err != nil {
			return "", err
		}
		data, err := os.ReadFile("testdata/release/examples/base/small.json")
		if err != nil {
			return "", err
		}
		var file map[string]json.RawMessage
		if err := json.Unmarshal(data, &file); err != nil {
			return "", err
		}
		rec, err := record.NewDecoder(visits, record.Limits{}).Decode("small.json", 1, file["small"])
		if err != nil {
			return "", err
		}
		var tracker history.Tracker
		v, err := j.Judge(ctx, judge.Case{Record: rec, Earlier: tracker.Earlier(rec)})
		if err != nil {
			return "", err
		}
		// Nothing that the visit says of its cells is proof: indeterminate.
		return fmt.Sprint(v.Acceptance.Value, ", ", v.Serviceability, "\n", v.Outcomes[0].Statement), nil
	}()
	fmt.Println(v, err)
	// Output:
	// accepted, undetermined
	// Cell B1.1 needs saying. <nil>
}
