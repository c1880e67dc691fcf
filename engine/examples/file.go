package examples

import (
	"fmt"

	"go.yaml.in/yaml/v3"
)

// example is one entry of a rule's examples file.
type example struct {
	line     int
	name     string
	visit    visit
	earlier  []visit
	received string
	spared   bool
	expect   map[string]string // by subject
	severity map[string]string // by subject
}

// visit is a base visit and the changes made to it.
type visit struct {
	line    int
	base    string
	changes []change
}

// others stands for all subjects that an expectation does not name.
const others = "others"

// parse reads an examples file whose one key is the rule's last name. The loader
// of releases has checked it against its schema; what is read here cannot be of
// another shape.
func parse(rule string, data []byte) ([]example, error) {
	var doc yaml.Node
	if err := yaml.Unmarshal(data, &doc); err != nil {
		return nil, err
	}
	list := field(resolved(&doc), rule)
	if list == nil {
		return nil, fmt.Errorf("there is no key %q", rule)
	}
	var out []example
	for _, n := range list.Content {
		e, err := exampleOf(resolved(n))
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}

func exampleOf(n *yaml.Node) (example, error) {
	e := example{line: n.Line, name: text(n, "name"), received: text(n, "received"), expect: map[string]string{}}
	var err error
	if e.visit, err = visitOf(n); err != nil {
		return e, err
	}
	if earlier := field(n, "earlier"); earlier != nil {
		for _, v := range earlier.Content {
			one, err := visitOf(resolved(v))
			if err != nil {
				return e, err
			}
			e.earlier = append(e.earlier, one)
		}
	}
	for subject, word := range words(field(n, "expect")) {
		if subject == "spared" {
			e.spared = true
			continue
		}
		e.expect[subject] = word
	}
	e.severity = words(field(n, "severity"))
	return e, nil
}

func visitOf(n *yaml.Node) (visit, error) {
	v := visit{line: n.Line, base: text(n, "base")}
	changes := field(n, "change")
	if changes == nil {
		return v, nil
	}
	for _, entry := range changes.Content {
		entry = resolved(entry)
		c := change{line: entry.Line}
		var pointer string
		for i := 0; i+1 < len(entry.Content); i += 2 {
			value := resolved(entry.Content[i+1])
			switch key := entry.Content[i].Value; key {
			case "to", "value":
				to, err := valueOf(value)
				if err != nil {
					return v, err
				}
				c.to = to
			default:
				if c.op != "" {
					return v, fmt.Errorf("line %d: %s and %s in one change", entry.Line, c.op, key)
				}
				c.op, pointer = key, value.Value
			}
		}
		var err error
		if c.path, err = tokens(pointer); err != nil {
			return v, fmt.Errorf("line %d: %w", entry.Line, err)
		}
		v.changes = append(v.changes, c)
	}
	return v, nil
}

// resolved follows an alias, or a document to what it holds.
func resolved(n *yaml.Node) *yaml.Node {
	for n != nil {
		switch {
		case n.Kind == yaml.AliasNode:
			n = n.Alias
		case n.Kind == yaml.DocumentNode && len(n.Content) == 1:
			n = n.Content[0]
		default:
			return n
		}
	}
	return nil
}

// field is the value of a key; nil if there is none.
func field(n *yaml.Node, key string) *yaml.Node {
	if n == nil || n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return resolved(n.Content[i+1])
		}
	}
	return nil
}

func text(n *yaml.Node, key string) string {
	if v := field(n, key); v != nil {
		return v.Value
	}
	return ""
}

func words(n *yaml.Node) map[string]string {
	out := map[string]string{}
	if n == nil {
		return out
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		out[n.Content[i].Value] = resolved(n.Content[i+1]).Value
	}
	return out
}
