package sheet

import (
	"encoding/json"
	"strings"
	"testing"
)

// TestDecodeIsStrict demands every member of figures and no other.
func TestDecodeIsStrict(t *testing.T) {
	whole := Figures{
		Class: []Class{}, Cells: []CellRow{}, Means: []Mean{{When: "left", Mean: Quantity{Text: "1.2681"}, Of: "12"}},
		Weakest: []Weakest{}, FullCharge: []FullCharge{}, LevelBand: []Band{}, Posts: []PostRow{}, TorqueBand: []Band{},
		Voltages: []VoltageRow{}, VoltageBand: []VoltageBand{}, Rest: []Rest{}, Meters: []MeterRow{}, Steps: []StepRow{}, Readings: []StepRead{}, Services: []Service{},
	}
	data, err := json.Marshal(whole)
	if err != nil {
		t.Fatal(err)
	}
	got, err := Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	if got.Means[0].Mean.Text != "1.2681" {
		t.Errorf("decoded %+v", got.Means)
	}
	tests := []struct{ name, old, new, want string }{
		{"an unknown member", `"of":"12"`, `"of":"12","colour":"red"`, "colour"},
		{"a missing member", `,"of":"12"`, ``, "/means/0/of"},
		{"a missing list", `"rest":[],`, ``, "/rest"},
		{"null for a list", `"rest":[]`, `"rest":null`, ""},
		{"a number for a text", `"of":"12"`, `"of":12`, "of"},
		{"something after it", `}`, `}`, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			changed := strings.Replace(string(data), tt.old, tt.new, 1)
			if tt.old == tt.new {
				changed += "{}"
			}
			got, err := Decode([]byte(changed))
			if err == nil {
				t.Fatalf("decoded %+v", got)
			}
			if !strings.Contains(err.Error(), tt.want) {
				t.Errorf("%v; want %q in it", err, tt.want)
			}
		})
	}
}
