package ruleset

// The type checker sees a misspelt limit, unit, step or class only if it is
// given a schema in which every name is known. Nobody writes such a schema by
// hand: it is read off the data.

// shapeOf derives a closed JSON Schema from a value: every member known, the
// members of an array's objects merged into one.
func shapeOf(value any) map[string]any { return mergedShape([]any{value}) }

// mergedShape is the shape that all the values fit, where a member that only
// some of them have counts as known. Values of different kinds share no shape
// but "anything".
func mergedShape(values []any) map[string]any {
	kind := ""
	for _, v := range values {
		k := kindOf(v)
		if kind != "" && k != kind {
			return map[string]any{}
		}
		kind = k
	}
	switch kind {
	case "":
		return map[string]any{}
	case "object":
		members := map[string][]any{}
		for _, v := range values {
			for name, member := range v.(map[string]any) {
				members[name] = append(members[name], member)
			}
		}
		properties := make(map[string]any, len(members))
		for name, vs := range members {
			properties[name] = mergedShape(vs)
		}
		return map[string]any{"type": kind, "properties": properties, "additionalProperties": false}
	case "array":
		var items []any
		for _, v := range values {
			items = append(items, v.([]any)...)
		}
		return map[string]any{"type": kind, "items": mergedShape(items)}
	}
	return map[string]any{"type": kind}
}

// collectionShape is the shape of a collection keyed by id whose members are
// the same kind of thing: each id is known, and each has the members that any
// of them has. So data.classes[id].battery compiles although one class has
// more to say of its battery than another.
func collectionShape(value any) map[string]any {
	object, ok := value.(map[string]any)
	if !ok {
		return shapeOf(value)
	}
	all := make([]any, 0, len(object))
	for _, member := range object {
		all = append(all, member)
	}
	one := mergedShape(all)
	properties := make(map[string]any, len(object))
	for id := range object {
		properties[id] = one
	}
	return map[string]any{"type": "object", "properties": properties, "additionalProperties": false}
}

func kindOf(v any) string {
	switch v.(type) {
	case map[string]any:
		return "object"
	case []any:
		return "array"
	case string:
		return "string"
	case bool:
		return "boolean"
	case nil:
		return "null"
	}
	return "number"
}

// structural are the keywords of a JSON Schema that say what members there are
// and of what type.
var structural = []string{"$schema", "$id", "$defs", "$ref", "type", "properties", "items", "additionalProperties"}

// structureOf leaves of a schema what the type checker works with. Conditions,
// alternatives and bounds between values are for validating records: the type
// checker refuses to merge some of them and takes others for anything goes.
func structureOf(schema any) any {
	object, ok := schema.(map[string]any)
	if !ok {
		return schema
	}
	out := map[string]any{}
	for _, keyword := range structural {
		v, ok := object[keyword]
		if !ok {
			continue
		}
		switch keyword {
		case "$defs", "properties":
			members, _ := v.(map[string]any)
			kept := make(map[string]any, len(members))
			for name, member := range members {
				kept[name] = structureOf(member)
			}
			v = kept
		case "items", "additionalProperties":
			v = structureOf(v)
		}
		out[keyword] = v
	}
	return out
}
