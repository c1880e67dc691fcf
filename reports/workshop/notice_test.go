package workshop

import (
	"slices"
	"testing"

	"github.com/visitgauge/visitgauge/engine/compare"
)

// TestNoticeSpeaksPlainly: what differs of steps and classes is told in the words of the
// work, and not in those of the files.
func TestNoticeSpeaksPlainly(t *testing.T) {
	d := Difference{&compare.Difference{
		Steps: []compare.Item{
			{Name: "brush-drive", Change: compare.Changed, Title: "Brush drive plates and hubs", Fields: []compare.Field{
				{Field: "may_skip", Old: "no-time"}, {Field: "may_skip", New: "no-access"}, {Field: "order", Old: "10", New: "20"},
				{Field: "power", Old: "either", New: "key-off"}, {Field: "severity", Old: "minor", New: "critical"},
			}},
			{Name: "seals", Change: compare.Changed, Title: "Seals", Fields: []compare.Field{{Field: "order", Old: "30", New: "40"}}},
		},
		Classes: []compare.Item{
			{Name: "one", Change: compare.Changed, Title: "Walk-behind, 24 V", Fields: []compare.Field{
				{Field: "battery.rest_voltage.max", Old: "12.9", New: "12.8"}, {Field: "charger.fuse", Old: "15", New: "20"},
				{Field: "options", New: "horn"}, {Field: "precedence", New: "{after: sign, before: lid-shut}"},
				{Field: "precedence", Old: "{after: sign, before: place-safe}"},
				{Field: "requires[0].steps", Old: "brush-drive"}, {Field: "requires[0].steps", New: "casters"},
			}},
		},
	}}
	want := []string{
		"Step, Brush drive plates and hubs: may no longer be left undone for the reason no time; may be left undone now for the reason no access; " +
			"done with the power key off now, it was either; left defective it counts as critical now, it was minor.",
		"For Walk-behind, 24 V: max of the rest voltage of the battery is 12.8, it was 12.9; fuse of the charger is 20, it was 15; " +
			"options has horn now; lid-shut comes before sign now; place-safe need no longer come before sign; " +
			"the step brush-drive need no longer be done; the step casters must be done now.",
	}
	if got := d.plain(); !slices.Equal(got, want) {
		t.Errorf("got\n%q\nwant\n%q", got, want)
	}
}
