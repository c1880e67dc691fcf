package examples

import (
	"encoding/json"
	"fmt"
	"regexp"

	"go.yaml.in/yaml/v3"
)

// number is a number as JSON and records allow it.
var number = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][+-]?[0-9]+)?$`)

// valueOf is a YAML node as JSON has it, numbers as they are written: 1.260
// keeps its last place.
func valueOf(n *yaml.Node) (any, error) {
	switch n.Kind {
	case yaml.AliasNode:
		return valueOf(n.Alias)
	case yaml.SequenceNode:
		out := make([]any, len(n.Content))
		for i, e := range n.Content {
			v, err := valueOf(e)
			if err != nil {
				return nil, err
			}
			out[i] = v
		}
		return out, nil
	case yaml.MappingNode:
		out := make(map[string]any, len(n.Content)/2)
		for i := 0; i+1 < len(n.Content); i += 2 {
			v, err := valueOf(n.Content[i+1])
			if err != nil {
				return nil, err
			}
			out[n.Content[i].Value] = v
		}
		return out, nil
	}
	switch n.ShortTag() {
	case "!!int", "!!float":
		if !number.MatchString(n.Value) {
			return nil, fmt.Errorf("line %d: %s is no number that a record can hold", n.Line, n.Value)
		}
		return json.Number(n.Value), nil
	case "!!bool":
		return n.Value == "true" || n.Value == "True" || n.Value == "TRUE", nil
	case "!!null":
		return nil, nil
	}
	// A bare date or time is text in a record.
	return n.Value, nil
}

// copyOf is a deep copy, so that changes to one visit touch no other.
func copyOf(v any) any {
	switch v := v.(type) {
	case map[string]any:
		out := make(map[string]any, len(v))
		for name, e := range v {
			out[name] = copyOf(e)
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i, e := range v {
			out[i] = copyOf(e)
		}
		return out
	}
	return v
}
