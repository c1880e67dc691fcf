package spoken

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
)

func TestPlace(t *testing.T) {
	data, err := os.ReadFile("../../testdata/demo/V-0111.json")
	if err != nil {
		t.Fatal(err)
	}
	var visit any
	if err := json.Unmarshal(data, &visit); err != nil {
		t.Fatal(err)
	}
	for pointer, want := range map[string]string{
		"/battery/cells/7/gravity/as_found/value":     "cell B3.2 gravity as found",
		"/battery/cells/*/gravity/as_found/value":     "every cell gravity as found",
		"/battery/cells/99/gravity/as_found/value":    "battery another cell gravity as found",
		"/battery/cells/7":                            "cell B3.2",
		"/charger/output_current/as_found/value":      "charger output current as found",
		"/instruments/0/measures/0/uncertainty":       "instrument hy-1 measure gravity uncertainty",
		"/isolations/0/tried_at":                      "isolation 1 tried at",
		"/battery/charge/key_hours_since/value":       "battery charge key hours since",
		"/started":                                    "started",
		"/people/0/qualifications/0/until":            "person tech-07 qualification battery until",
		"":                                            "the record",
		"/battery/blocks/0/temperature/as_found/unit": "block B1 temperature as found unit",
		"/steps":                "steps",
		"/battery/nothing/here": "battery nothing here",
		"/battery/ventilation/packs/0/gassing_current/x": "battery ventilation another pack gassing current x",
	} {
		var tokens []string
		if pointer != "" {
			tokens = strings.Split(pointer[1:], "/")
		}
		if got := Place(visit, tokens); got != want {
			t.Errorf("%s is %q, want %q", pointer, got, want)
		}
	}
}
