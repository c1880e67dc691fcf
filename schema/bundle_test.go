package schema_test

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/schema"
)

// refs returns every $ref of a schema document.
func refs(v any) []string {
	var found []string
	switch v := v.(type) {
	case []any:
		for _, e := range v {
			found = append(found, refs(e)...)
		}
	case map[string]any:
		for key, e := range v {
			if ref, ok := e.(string); ok && key == "$ref" {
				found = append(found, ref)
			}
			found = append(found, refs(e)...)
		}
	}
	return found
}

func TestBundleIsSelfContained(t *testing.T) {
	bundle, err := schema.Bundle("input")
	if err != nil {
		t.Fatal(err)
	}
	doc, _ := parse(t, bundle).(map[string]any)
	defs, _ := doc["$defs"].(map[string]any)
	all := refs(doc)
	if len(all) < 50 {
		t.Errorf("the bundle has %d references: the visit was not taken in", len(all))
	}
	for _, ref := range all {
		name, local := strings.CutPrefix(ref, "#/$defs/")
		if !local {
			t.Errorf("reference %q leaves the bundle", ref)
		} else if defs[name] == nil {
			t.Errorf("reference %q leads nowhere", ref)
		}
	}
}

func TestBundleIsReproducible(t *testing.T) {
	first, err := schema.Bundle("input")
	if err != nil {
		t.Fatal(err)
	}
	for range 5 {
		again, err := schema.Bundle("input")
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(first, again) {
			t.Fatal("two bundles of the same files differ")
		}
	}
}

// A bundle must decide as the files it is made of do.
func TestBundleDecidesAsItsParts(t *testing.T) {
	bundle, err := schema.Bundle("input")
	if err != nil {
		t.Fatal(err)
	}
	whole, err := schema.CompileBytes("https://visitgauge.invalid/bundle", bundle)
	if err != nil {
		t.Fatal(err)
	}
	parts, err := schema.Compile("input")
	if err != nil {
		t.Fatal(err)
	}
	visit, err := os.ReadFile("../engine/record/testdata/visit.json")
	if err != nil {
		t.Fatal(err)
	}
	none := `{"last_visit": [], "last_services": [], "meters": [], "battery": [], "open_items": [], "tags": [], "restrictions": [], "meter_changes": []}`
	good := `{"visit": ` + string(visit) + `, "received": [], "earlier": ` + none + `}`
	for name, c := range map[string]struct {
		doc   string
		valid bool
	}{
		"as it is":             {good, true},
		"earlier visit":        {strings.Replace(good, `"last_visit": []`, `"last_visit": [`+string(visit)+`]`, 1), true},
		"earlier null":         {strings.Replace(good, `"last_visit": []`, `"last_visit": null`, 1), false},
		"unit in the visit":    {strings.Replace(good, `"unit": "degF"`, `"unit": "kPa"`, 1), false},
		"unit in the earlier":  {strings.Replace(good, `"meters": []`, `"meters": [`+strings.Replace(string(visit), `"unit": "degF"`, `"unit": "kPa"`, 1)+`]`, 1), false},
		"cell twice":           {strings.Replace(good, `"cell": "B1.2"`, `"cell": "B1.1"`, 1), false},
		"received at no time":  {strings.Replace(good, `"received": []`, `"received": ["noon"]`, 1), false},
		"received twice":       {strings.Replace(good, `"received": []`, `"received": ["2026-05-04T12:00:00Z", "2026-05-04T12:00:00Z"]`, 1), false},
		"a field too many":     {strings.Replace(good, `"received": []`, `"received": [], "now": 1`, 1), false},
		"nothing of a visit":   {`{"visit": {}, "received": [], "earlier": ` + none + `}`, false},
		"no field for earlier": {`{"visit": ` + string(visit) + `, "received": []}`, false},
	} {
		for kind, err := range map[string]error{
			"bundle": whole.Validate(parse(t, []byte(c.doc))),
			"parts":  parts.Validate(parse(t, []byte(c.doc))),
		} {
			if (err == nil) != c.valid {
				t.Errorf("%s, %s: %v, want valid %t", name, kind, err, c.valid)
			}
		}
	}
}

func TestBundleUnknown(t *testing.T) {
	if _, err := schema.Bundle("inptu"); err == nil {
		t.Error("Bundle takes an unknown name")
	}
}
