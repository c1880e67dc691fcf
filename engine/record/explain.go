package record

import (
	"github.com/santhosh-tekuri/jsonschema/v5"
)

// explain turns what the schema library found into flaws.
func explain(root *jsonschema.Schema, object map[string]any, invalid *jsonschema.ValidationError, at places, known []flaw) []flaw {
	var flaws []flaw
	var walk func(*jsonschema.ValidationError)
	walk = func(e *jsonschema.ValidationError) {
		for _, c := range e.Causes {
			walk(c)
		}
		if len(e.Causes) == 0 {
			p := parseLocation(e.InstanceLocation)
			flaws = append(flaws, flaw{offset: at[p.pointer()].value, path: p, message: e.Message})
		}
	}
	walk(invalid)
	return flaws
}
