package record

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v5"
)

// An explainer turns what the schema library found wrong with a record into
// flaws in the words of this package. The library's own messages print numbers
// as binary floats, name one field of several, and repeat what only follows
// from something else.
type explainer struct {
	root   *jsonschema.Schema
	record map[string]any
	at     places
	lineOf func(offset int) int

	// wrong is the pointers of all values found wrong so far. A condition that
	// looks at one of them proves nothing.
	wrong map[string]bool

	// closed is the pointers of those that are to be written otherwise, named
	// otherwise or taken out, so that nothing more is said about them or about
	// what is in them.
	closed map[string]bool

	// meant is, by pointer, the fields that are missing from an object and that
	// an unknown field of it is taken for.
	meant map[string][]string
}

// explain returns the flaws behind a failed validation. What lies at or below
// one of the known flaws is left out.
func (x *explainer) explain(invalid *jsonschema.ValidationError, known []flaw) []flaw {
	x.wrong, x.closed, x.meant = map[string]bool{}, map[string]bool{}, map[string][]string{}
	for _, f := range known {
		x.wrong[f.path.pointer()], x.closed[f.path.pointer()] = true, true
	}
	if x.isOther() {
		mend := "hand in a record"
		if version := x.schemaOf(path{"schema"}); version != nil && len(version.Constant) > 0 {
			mend += " of schema " + shown(version.Constant[0])
		}
		return x.note(nil, "this is another document: it has no field of a record", mend)
	}
	// A finding under a condition counts only if nothing is wrong with the
	// fields that the condition looks at. Unknown fields come first of all,
	// since they may be what is missing elsewhere. The library gives the
	// findings in an order that changes from run to run.
	var flaws []flaw
	findings := x.findings(invalid)
	slices.SortFunc(findings, func(a, b finding) int {
		return cmp.Or(cmp.Compare(a.rank(), b.rank()), slices.Compare(a.path, b.path), cmp.Compare(a.library, b.library))
	})
	for _, f := range findings {
		if slices.ContainsFunc(f.conditions, x.inQuestion) {
			continue
		}
		found := x.sentences(f)
		if f.isVersion() && len(found) > 0 {
			return found // a record of another version follows another schema
		}
		flaws = append(flaws, found...)
	}
	return x.worthSaying(flaws, known)
}

// isOther tells whether the record has fields, but none that the schema knows,
// nor one that could be meant.
func (x *explainer) isOther() bool {
	node := x.root
	for node != nil && node.Properties == nil {
		node = node.Ref
	}
	if node == nil || len(x.record) == 0 {
		return false
	}
	known := slices.Sorted(maps.Keys(node.Properties))
	for name := range x.record {
		if _, near := closest(name, known); near {
			return false
		}
	}
	return true
}

// findings returns the leaves of the library's tree of errors.
func (x *explainer) findings(invalid *jsonschema.ValidationError) []finding {
	var found []finding
	var walk func(*jsonschema.ValidationError)
	walk = func(e *jsonschema.ValidationError) {
		for _, cause := range e.Causes {
			walk(cause)
		}
		if len(e.Causes) == 0 {
			found = append(found, x.finding(e))
		}
	}
	walk(invalid)
	return found
}

// inQuestion tells whether a condition rests on a field that is missing,
// misspelt or wrong, so that nobody can say which way it goes.
func (x *explainer) inQuestion(c condition) bool {
	object, _ := descend(x.record, c.path)
	members, _ := object.(map[string]any)
	for _, name := range c.fields() {
		_, given := members[name]
		_, byValue := c.holder.If.Properties[name]
		if !given && (byValue || slices.Contains(x.meant[c.path.pointer()], name)) {
			return true
		}
		below := c.path.with(name).pointer()
		for pointer := range x.wrong {
			if pointer == below || strings.HasPrefix(pointer, below+"/") {
				return true
			}
		}
	}
	return false
}

// worthSaying leaves out what is said of closed values beside what closed them,
// and what is said twice, as where several branches ask for one field.
func (x *explainer) worthSaying(flaws, known []flaw) []flaw {
	type key struct{ pointer, message string }
	seen := map[key]bool{}
	for _, f := range known {
		seen[key{f.path.pointer(), ""}] = true
	}
	return slices.DeleteFunc(flaws, func(f flaw) bool {
		k := key{f.path.pointer(), f.message}
		said := seen[k] || seen[key{k.pointer, ""}]
		seen[k] = true
		outside := f.path
		if f.closing && len(outside) > 0 {
			outside = outside[:len(outside)-1]
		}
		return said || x.insideClosed(outside)
	})
}

// insideClosed tells whether the value lies at or below one that is closed.
func (x *explainer) insideClosed(p path) bool {
	for n := range len(p) + 1 {
		if x.closed[p[:n].pointer()] {
			return true
		}
	}
	return false
}

// note returns a flaw of the value at the path, and remembers it as wrong.
func (x *explainer) note(p path, message, mend string) []flaw {
	x.wrong[p.pointer()] = true
	return []flaw{{offset: x.at[p.pointer()].value, path: p, message: message, mend: mend}}
}

// close is as note, for a flaw beside which nothing else about the value is
// worth saying.
func (x *explainer) close(p path, message, mend string) []flaw {
	flaws := x.note(p, message, mend)
	flaws[0].closing = true
	x.closed[p.pointer()] = true
	return flaws
}

// schemaOf returns the schema of the value at a path, conditions aside, or nil.
func (x *explainer) schemaOf(p path) *jsonschema.Schema {
	node := x.root
	for _, part := range p {
		for node != nil && node.Properties == nil && node.Items2020 == nil {
			node = node.Ref
		}
		switch {
		case node == nil:
			return nil
		case node.Items2020 != nil:
			node = node.Items2020
		default:
			node = node.Properties[part]
		}
	}
	return node
}
