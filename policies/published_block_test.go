package policies_test

import (
	"encoding/json"
	"fmt"
	"os"
	"testing"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

// TestBlockVoltageRule has blocks of acid of many strengths judged, at the rest
// voltage that the electrode potentials of testdata/published/voltage-gravity.yaml
// give such acid. A block with a cell that adds nothing must not conform, and a
// sound one must, down to the acid of a flat cell; in weaker acid, where gravity
// plus a constant no longer holds to 0.02 V, it must still not be condemned.
func TestBlockVoltageRule(t *testing.T) {
	const (
		cells = 3
		flat  = 1.13 // gravity of a flat traction cell, common practice
	)
	var v voltageFile
	published(t, "voltage-gravity.yaml", &v)
	judgeBlocks := blockJudge(t)
	sound := 0
	for _, row := range v.Bode.Evaluated.Rows {
		// What a hydrometer for batteries can read.
		if row.Gravity < 1.1 || row.Gravity > 1.3 {
			continue
		}
		for subject, got := range judgeBlocks(row.Gravity, (cells-1)*row.Volts) {
			if got != verdict.Nonconforming {
				t.Errorf("%s with a dead cell, gravity %v: %s", subject, row.Gravity, got)
			}
		}
		for subject, got := range judgeBlocks(row.Gravity, cells*row.Volts) {
			switch {
			case got == verdict.Conforming:
				sound++
			case got == verdict.Nonconforming || row.Gravity >= flat:
				t.Errorf("%s, sound, gravity %v at %.3f V: %s", subject, row.Gravity, cells*row.Volts, got)
			}
		}
	}
	if sound == 0 {
		t.Error("no row of the table can be read with a hydrometer")
	}
}

// blockJudge returns a function that judges the blocks of a rested pack whose
// cells all read one gravity, at 25 °C, and whose blocks all show one voltage.
func blockJudge(t *testing.T) func(gravity, volts float64) map[string]verdict.Value {
	t.Helper()
	const base = "walk-behind-flooded"
	set, err := ruleset.Load(t.Context(), os.DirFS(underTest), ruleset.Options{Version: underTest})
	if err != nil {
		t.Fatal(err)
	}
	rule, err := judge.NewSingle(t.Context(), set, "condition.battery.block_voltage")
	if err != nil {
		t.Fatal(err)
	}
	visits, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	decoder := record.NewDecoder(visits, record.Limits{})
	data, err := os.ReadFile(fmt.Sprintf("%s/examples/base/%s.json", underTest, base))
	if err != nil {
		t.Fatal(err)
	}
	return func(gravity, volts float64) map[string]verdict.Value {
		t.Helper()
		var file map[string]map[string]any
		if err := json.Unmarshal(data, &file); err != nil {
			t.Fatal(err)
		}
		reading := func(value float64, places int, unit, instrument string) map[string]any {
			text := json.Number(fmt.Sprintf("%.*f", places, value))
			return map[string]any{"as_found": map[string]any{"value": text, "unit": unit, "instrument": instrument}}
		}
		battery := file[base]["battery"].(map[string]any)
		battery["off_charge_and_load"].(map[string]any)["value"] = 18
		battery["charge"].(map[string]any)["ended"] = "2026-05-03T14:00:00+02:00"
		for _, b := range battery["blocks"].([]any) {
			b.(map[string]any)["temperature"] = reading(25, 0, "degC", "th-1")
			b.(map[string]any)["voltage"] = reading(volts, 3, "V", "vm-1")
		}
		for _, c := range battery["cells"].([]any) {
			c.(map[string]any)["gravity"] = reading(gravity, 4, "sg", "hy-1")
		}
		text, err := json.Marshal(file[base])
		if err != nil {
			t.Fatal(err)
		}
		rec, err := decoder.Decode(base, 1, text)
		if err != nil {
			t.Fatal(err)
		}
		var tracker history.Tracker
		answer, err := rule.Judge(t.Context(), judge.Case{Record: rec, Earlier: tracker.Earlier(rec)}, nil)
		if err != nil {
			t.Fatal(err)
		}
		outcomes := map[string]verdict.Value{}
		for _, o := range answer.Outcomes {
			outcomes[o.Subject] = o.Outcome
		}
		if len(outcomes) != len(battery["blocks"].([]any)) {
			t.Fatalf("%d outcomes for %d blocks", len(outcomes), len(battery["blocks"].([]any)))
		}
		return outcomes
	}
}
