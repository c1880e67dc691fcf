package stream_test

import (
	"context"
	"fmt"
	"os"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/schema"
)

// A record that is refused does not stop the others.
func ExampleRun() {
	visits, err := schema.Compile("visit")
	if err != nil {
		fmt.Println(err)
		return
	}
	items := record.NewReader([]string{visitFile, "no-such-visit.json"}, os.Stdin, record.Limits{}).All()
	err = stream.Run(context.Background(), items, stream.Options{
		Decoder: record.NewDecoder(visits, record.Limits{}),
		Rules:   stream.ByFolder(os.DirFS(release), true),
		Workers: 2,
	}, func(r stream.Result) error {
		if r.Verdict == nil {
			fmt.Println(r.Problems[0])
			return nil
		}
		fmt.Println(r.Verdict.Visit.ID, r.Verdict.Acceptance.Value, r.Verdict.Serviceability)
		return nil
	})
	fmt.Println("error:", err)
	// Output:
	// V-1 accepted serviceable
	// no-such-visit.json: it cannot be read: no such file or directory
	// error: <nil>
}
