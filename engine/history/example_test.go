package history_test

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/schema"
)

// A visit is compared with what came before it, then becomes part of it.
func ExampleTracker() {
	visits, err := schema.Compile("visit")
	if err != nil {
		fmt.Println(err)
		return
	}
	data, err := os.ReadFile("../../policies/1.0.0/examples/base/walk-behind-sealed.json")
	if err != nil {
		fmt.Println(err)
		return
	}
	var file map[string]json.RawMessage
	if err := json.Unmarshal(data, &file); err != nil {
		fmt.Println(err)
		return
	}
	may := string(file["walk-behind-sealed"])
	june := strings.NewReplacer("2026-05-04T", "2026-06-04T", `"V-0001"`, `"V-0002"`).Replace(may)

	decoder := record.NewDecoder(visits, record.Limits{})
	var tracker history.Tracker
	for _, text := range []string{may, june} {
		rec, err := decoder.Decode("example", 1, []byte(text))
		if err != nil {
			fmt.Println(err)
			return
		}
		for _, slot := range tracker.Earlier(rec).Slots() {
			fmt.Printf("%s is compared with %s: %s\n", rec.ID(), slot.Visit.ID(), strings.TrimSpace(slot.Name+" "+slot.Level))
		}
		tracker.Add(rec)
	}
	// Output:
	// V-0002 is compared with V-0001: last_visit
	// V-0002 is compared with V-0001: last_service full
	// V-0002 is compared with V-0001: meters
	// V-0002 is compared with V-0001: battery
}
