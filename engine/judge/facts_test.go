package judge

import (
	"strings"
	"testing"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/history"
)

// TestFacts resolves facts one at a time: what is printed, and which are refused.
func TestFacts(t *testing.T) {
	rec := testRecord(t, "said", nil)
	src := source{set: testSet(t), record: rec, earlier: history.Earlier{Battery: testRecord(t, "", edits{"/id": "V-0000"})}}
	tests := []struct{ fact, text, value, fault string }{
		{fact: `{"name": "n", "at": "/battery/cells/0/gravity/as_found"}`, text: "1.270", value: "1.270"},
		{fact: `{"name": "n", "at": "/battery/cells/0/level/as_left"}`, text: "0.375 in", value: "0.375"},
		{fact: `{"name": "n", "at": "/battery/blocks/0/temperature/as_found"}`, text: "76 °F", value: "76"},
		{fact: `{"name": "n", "at": "/note"}`, text: "said", value: "said"},
		{fact: `{"name": "n", "at": "/battery/charge/caps_in"}`, text: "yes", value: "yes"},
		{fact: `{"name": "n", "at": "/battery/blocks/0/frozen"}`, text: "no", value: "no"},
		{fact: `{"name": "n", "at": "/battery/cells/0/gravity/as_left"}`, text: "(not recorded)"},
		{fact: `{"name": "n", "at": "/battery/cells/9/gravity/as_found"}`, text: "(not recorded)"},
		{fact: `{"name": "n", "at": "/battery/cells/00"}`, text: "(not recorded)"},
		{fact: `{"name": "n", "at": "/battery/cells/0"}`, fault: "neither a reading nor a single value"},
		{fact: `{"name": "n", "at": "/battery/cells/0/gravity"}`, fault: "neither a reading nor a single value"},
		{fact: `{"name": "n", "at": "/battery/cells"}`, fault: "neither a reading nor a single value"},
		{fact: `{"name": "n", "at": "/note", "earlier": "battery"}`, text: "(not recorded)"},
		{fact: `{"name": "n", "at": "/id", "earlier": "battery"}`, text: "V-0000", value: "V-0000"},
		{fact: `{"name": "n", "at": "/id", "earlier": "meters"}`, fault: `no earlier visit in slot "meters"`},
		{fact: `{"name": "n", "at": "/id", "earlier": "yesterday"}`, fault: `no earlier visit in slot "yesterday"`},
		{fact: `{"name": "n", "limit": "battery.torque", "bound": "min"}`, text: "90 in·lbf", value: "90"},
		{fact: `{"name": "n", "limit": "battery.torque", "bound": "max"}`, text: "100.0 in·lbf", value: "100.0"},
		{fact: `{"name": "n", "limit": "battery.torque", "bound": "mean"}`, fault: "no limit"},
		{fact: `{"name": "n", "limit": "battery.tork", "bound": "min"}`, fault: "no limit"},
		{fact: `{"name": "n", "number": 1, "scale": 8, "place": 2, "unit": "h"}`, text: "0.12 h", value: "0.12"},
		{fact: `{"name": "n", "number": 3, "scale": 8, "place": 2, "unit": "h"}`, text: "0.38 h", value: "0.38"},
		{fact: `{"name": "n", "number": -1, "scale": 3, "place": 0, "unit": "sg"}`, text: "0", value: "0"},
		{fact: `{"name": "n", "number": 1260000000, "scale": 1000000000, "place": 3, "unit": "sg"}`, text: "1.260", value: "1.260"},
		{fact: `{"name": "n", "number": 1, "scale": 0, "place": 0, "unit": "sg"}`, fault: "not above zero"},
		{fact: `{"name": "n", "number": 1, "scale": -2, "place": 0, "unit": "sg"}`, fault: "not above zero"},
		{fact: `{"name": "n", "number": 1, "scale": 1, "place": 99, "unit": "sg"}`, fault: "place is 99"},
		{fact: `{"name": "n", "number": "x", "scale": 1, "place": 0, "unit": "sg"}`, fault: "no number"},
		{fact: `{"name": "n", "number": 1, "scale": 1, "place": 0, "unit": 3}`, fault: "not a unit's code"},
		{fact: `{"name": "n", "number": 1, "scale": 1, "place": 0, "unit": "furlong"}`, text: "1 furlong", value: "1"},
		{fact: `{"name": "n", "text": "as it is"}`, text: "as it is"},
		{fact: `{"name": "n", "text": 3}`, fault: "not a string"},
		{fact: `{"name": "n"}`, fault: "is given by"},
		{fact: `{"name": "n", "at": "/id", "text": "both"}`, fault: "is given by at, text"},
		{fact: `{"name": "n", "number": 1, "scale": 1, "place": 0}`, fault: "is given by number, place, scale"},
		{fact: `{"text": "nameless"}`, fault: "has no name"},
		{fact: `"a word"`, fault: "is no fact"},
	}
	for _, test := range tests {
		facts, err := src.facts(ast.MustParseTerm("{" + test.fact + "}").Value)
		if test.fault != "" {
			if err == nil || !strings.Contains(err.Error(), test.fault) {
				t.Errorf("%s: got %v, %v; want an error with %q", test.fact, facts, err, test.fault)
			}
			continue
		}
		if err != nil || len(facts) != 1 || facts[0].Text != test.text || facts[0].Value != test.value {
			t.Errorf("%s: got %+v, %v; want %q, value %q", test.fact, facts, err, test.text, test.value)
		}
	}
	for _, answer := range []string{`{"cell B1.1"}`, `{3: {}}`, `{"cell B1.1": "facts"}`} {
		if facts, err := src.factsOf("condition.battery.as_told", ast.MustParseTerm(answer).Value); err == nil {
			t.Errorf("%s: got %v, want an error", answer, facts)
		}
	}
}
