package record

import (
	"slices"
	"strconv"

	"github.com/santhosh-tekuri/jsonschema/v5"
)

// A finding is one leaf of the schema library's tree of errors, with the parts
// of schema and record that it is about.
type finding struct {
	path    path
	value   any
	keyword string             // "" where the schema is false
	node    *jsonschema.Schema // that has the keyword; nil if it was not found

	// conditions is the if of every then and else on the way to node.
	conditions []condition

	library string // the library's own message
}

// A condition is an if that the record met, or did not meet.
type condition struct {
	holder *jsonschema.Schema
	met    bool
	path   path // the value that it speaks of
}

// finding looks up what an error of the library is about.
func (x *explainer) finding(e *jsonschema.ValidationError) finding {
	f := finding{path: parseLocation(e.InstanceLocation), library: e.Message}
	// The library reports only on values that are there.
	f.value, _ = descend(x.record, f.path)
	f.follow(x.root, parseLocation(e.KeywordLocation))
	return f
}

// follow walks from the root of the schema along the way the library took. If
// it meets a keyword that leads on but is not known here, node is left nil.
func (f *finding) follow(node *jsonschema.Schema, way path) {
	depth := 0
	for len(way) > 0 && node != nil {
		keyword, second, used := way[0], "", 1
		if len(way) > 1 {
			second = way[1]
		}
		deeper := 0
		next := node
		switch keyword {
		case "$ref":
			next = node.Ref
		case "properties":
			next, used, deeper = node.Properties[second], 2, 1
		case "items":
			next, deeper = node.Items2020, 1
		case "prefixItems":
			next, used, deeper = at(node.PrefixItems, second), 2, 1
		case "allOf":
			next, used = at(node.AllOf, second), 2
		case "then", "else":
			f.conditions = append(f.conditions, condition{
				holder: node, met: keyword == "then", path: f.path[:min(depth, len(f.path))],
			})
			next = node.Then
			if keyword == "else" {
				next = node.Else
			}
		default:
			f.keyword, f.node = keyword, node
			return
		}
		node, way, depth = next, way[used:], depth+deeper
	}
	f.node = node
}

func at(schemas []*jsonschema.Schema, i string) *jsonschema.Schema {
	n, err := strconv.Atoi(i)
	if err != nil || n < 0 || n >= len(schemas) {
		return nil
	}
	return schemas[n]
}

// rank is the order in which findings are looked at.
func (f finding) rank() int {
	rank := 2 * len(f.conditions)
	if f.keyword != "additionalProperties" {
		rank++
	}
	return rank
}

// isVersion tells whether the finding is that the record names another version
// of the schema than the one it is held against.
func (f finding) isVersion() bool {
	return f.keyword == "const" && slices.Equal(f.path, path{"schema"})
}

// label returns the name of the field that the value belongs to, in quotes.
func (f finding) label() string {
	for i := len(f.path) - 1; i >= 0; i-- {
		if _, isIndex := index(f.path[i], 1<<31); !isIndex {
			return quoted(f.path[i])
		}
	}
	return "the record"
}

// fields returns the names of the fields that the condition looks at.
func (c condition) fields() []string {
	names := slices.Clone(c.holder.If.Required)
	for name := range c.holder.If.Properties {
		names = append(names, name)
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// phrase says the condition in words, as it holds for this record, or returns
// nothing if it is of no simple form.
func (c condition) phrase() string {
	cond := c.holder.If
	not := ""
	if !c.met {
		not = "not "
	}
	switch names := c.fields(); {
	case len(names) != 1:
		return ""
	case len(cond.Properties) == 0:
		return quoted(names[0]) + " is " + not + "given"
	default:
		p := cond.Properties[names[0]]
		values := append(slices.Clone(p.Constant), p.Enum...)
		if len(values) == 0 {
			return ""
		}
		return quoted(names[0]) + " is " + not + listed(values, "or")
	}
}

// where returns the innermost condition in words, as the end of a sentence.
func (f finding) where() string {
	for _, c := range slices.Backward(f.conditions) {
		if phrase := c.phrase(); phrase != "" {
			return ", where " + phrase
		}
	}
	return ""
}

// wantsField tells whether the condition is that a field is given, and it is
// not.
func (c condition) wantsField() bool {
	return !c.met && len(c.holder.If.Required) > 0 && len(c.holder.If.Properties) == 0
}
