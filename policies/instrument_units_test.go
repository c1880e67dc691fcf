package policies_test

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/visitgauge/visitgauge/schema"
)

// TestInstrumentUnits holds the units in which the record schema lets an
// instrument state its range to the quantities that the release gives to those
// units: a hydrometer with a range in degrees would be of no use, and would look
// as good as any.
func TestInstrumentUnits(t *testing.T) {
	b := newBench(t)
	data, err := schema.Read("visit")
	if err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	if err := json.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	measures := at(doc, "$defs", "measures")
	quantities := at(measures, "properties", "quantity", "enum").([]any)
	units := at(measures, "properties", "unit", "enum").([]any)
	allowed := map[any][]any{}
	for _, c := range at(measures, "allOf").([]any) {
		quantity := at(c, "if", "properties", "quantity", "const")
		allowed[quantity] = at(c, "then", "properties", "unit", "enum").([]any)
	}
	for _, quantity := range quantities {
		of := quantity
		if of == "hours" { // of a meter; its unit is one of duration
			of = "duration"
		}
		if len(allowed[quantity]) == 0 {
			t.Errorf("an instrument for %v may state its range in any unit", quantity)
		}
		for _, unit := range units {
			has := at(b.set.Data()["units"], unit.(string), "quantity") == of
			may := slices.Contains(allowed[quantity], unit)
			if may && !has || has && !may && quantity != "hours" {
				t.Errorf("an instrument for %v may state its range in %v: %t; the unit is of that quantity: %t", quantity, unit, may, has)
			}
		}
	}
}
