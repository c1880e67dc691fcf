package history

// The decoder has checked every record against its schema, so what is missing
// here was optional, and a wrong kind of value cannot occur.

func object(from map[string]any, name string) map[string]any {
	m, _ := from[name].(map[string]any)
	return m
}

func objects(from map[string]any, name string) []map[string]any {
	list, _ := from[name].([]any)
	out := make([]map[string]any, 0, len(list))
	for _, e := range list {
		if m, ok := e.(map[string]any); ok {
			out = append(out, m)
		}
	}
	return out
}

func text(from map[string]any, name string) string {
	s, _ := from[name].(string)
	return s
}

func list(from map[string]any, name string) []any {
	l, _ := from[name].([]any)
	return l
}

func has(from map[string]any, path ...string) bool {
	for _, name := range path[:len(path)-1] {
		from = object(from, name)
	}
	_, ok := from[path[len(path)-1]]
	return ok
}
