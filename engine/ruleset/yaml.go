package ruleset

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"
)

// maxDepth is the deepest nesting of a data file.
const maxDepth = 64

// parseYAML reads a YAML file from its nodes, so that numbers keep the text
// they are written with and every value its place. What different YAML readers
// take for different things is refused: a release must say the same to all.
func parseYAML(file string, data []byte) (*document, Problems) {
	d := newDocument(file)
	if p, ok := textProblem(file, data); !ok {
		return nil, Problems{p}
	}
	dec := yaml.NewDecoder(bytes.NewReader(data))
	var root yaml.Node
	if err := dec.Decode(&root); err != nil {
		if errors.Is(err, io.EOF) {
			return nil, Problems{{File: file, Message: "the file is empty", Mend: "give it the top key that its place in the release asks for"}}
		}
		return nil, Problems{yamlSyntax(file, err)}
	}
	var next yaml.Node
	switch err := dec.Decode(&next); {
	case err == nil:
		return nil, Problems{{File: file, Line: next.Line, Column: next.Column, Message: "a second YAML document begins here", Mend: "keep one document a file"}}
	case !errors.Is(err, io.EOF):
		return nil, Problems{yamlSyntax(file, err)}
	}
	r := yamlReader{doc: d}
	d.value = r.value(root.Content[0], "", 0)
	if len(r.problems) > 0 {
		return nil, r.problems
	}
	return d, nil
}

// textProblem refuses what is no plain UTF-8 text.
func textProblem(file string, data []byte) (Problem, bool) {
	if bytes.HasPrefix(data, []byte("\ufeff")) {
		return Problem{File: file, Line: 1, Column: 1, Message: "the file begins with a byte order mark", Mend: "save it as UTF-8 without a byte order mark"}, false
	}
	if !utf8.Valid(data) {
		line := 1
		for len(data) > 0 {
			r, size := utf8.DecodeRune(data)
			if r == utf8.RuneError && size == 1 {
				break
			}
			if r == '\n' {
				line++
			}
			data = data[size:]
		}
		return Problem{File: file, Line: line, Message: "the file is not valid UTF-8", Mend: "save it as UTF-8"}, false
	}
	return Problem{}, true
}

var yamlLine = regexp.MustCompile(`^yaml: (?:line (\d+): )?(?s:(.*))$`)

func yamlSyntax(file string, err error) Problem {
	p := Problem{File: file, Message: err.Error(), Mend: "correct the YAML here or just above"}
	if m := yamlLine.FindStringSubmatch(err.Error()); m != nil {
		p.Line, _ = strconv.Atoi(m[1])
		p.Message = m[2]
	}
	return p
}

type yamlReader struct {
	doc      *document
	problems Problems
}

func (r *yamlReader) refuse(n *yaml.Node, mend, format string, args ...any) {
	r.problems = append(r.problems, Problem{File: r.doc.file, Line: n.Line, Column: n.Column, Message: fmt.Sprintf(format, args...), Mend: mend})
}

func (r *yamlReader) value(n *yaml.Node, pointer string, depth int) any {
	r.doc.at[pointer] = place{n.Line, n.Column}
	if depth > maxDepth {
		r.refuse(n, "nest less", "nested more than %d deep", maxDepth)
		return nil
	}
	if n.Anchor != "" {
		r.refuse(n, "write the value out where it is needed", "the anchor &%s is not allowed", n.Anchor)
	}
	if n.Style&yaml.TaggedStyle != 0 {
		r.refuse(n, "leave the tag out; put quotes around text", "the tag %s is not allowed", n.Tag)
		return nil
	}
	switch n.Kind {
	case yaml.AliasNode:
		r.refuse(n, "write the value out", "the alias *%s is not allowed", n.Value)
	case yaml.MappingNode:
		return r.object(n, pointer, depth)
	case yaml.SequenceNode:
		list := make([]any, len(n.Content))
		for i, c := range n.Content {
			list[i] = r.value(c, childPointer(pointer, i), depth+1)
		}
		return list
	case yaml.ScalarNode:
		return r.scalar(n)
	}
	return nil
}

func (r *yamlReader) object(n *yaml.Node, pointer string, depth int) any {
	object := make(map[string]any, len(n.Content)/2)
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		if k.Kind != yaml.ScalarNode {
			r.refuse(k, "use a word as the key", "a key must be a word")
			continue
		}
		if k.ShortTag() == "!!merge" {
			r.refuse(k, "write the members out", "the merge key << is not allowed")
			continue
		}
		name, ok := r.scalar(k).(string)
		if !ok {
			r.refuse(k, "put quotes around the key", "the key %s is no text", k.Value)
			continue
		}
		child := childPointer(pointer, name)
		if first, ok := r.doc.keys[child]; ok {
			r.refuse(k, "keep one of the two", "the key %q stands here a second time, the first is on line %d", name, first.line)
			continue
		}
		r.doc.keys[child] = place{k.Line, k.Column}
		object[name] = r.value(v, child, depth+1)
	}
	return object
}

// ambiguous words are true and false to some YAML readers, text to others.
var ambiguous = regexp.MustCompile(`^(?i:y|n|yes|no|on|off)$`)

func (r *yamlReader) scalar(n *yaml.Node) any {
	if n.Style != 0 { // quoted or a block: text, whatever it looks like
		return n.Value
	}
	switch n.ShortTag() {
	case "!!null":
		if n.Value != "" && n.Value != "null" {
			r.refuse(n, "write null, or quotes around text", "%q without quotes means nothing at all", n.Value)
		}
		return nil
	case "!!bool":
		if n.Value != "true" && n.Value != "false" {
			r.refuse(n, "write true or false, or quotes around text", "%q without quotes is read differently by different programs", n.Value)
		}
		return n.Value == "true"
	case "!!int", "!!float":
		if fault := plainNumber(n.Value); fault != "" {
			r.refuse(n, "write 0.001 rather than 1e-3; put quotes around text", "%s", fault)
		}
		return json.Number(n.Value)
	case "!!binary":
		r.refuse(n, "write text", "binary data is not allowed")
	}
	if ambiguous.MatchString(n.Value) {
		r.refuse(n, "put quotes around it", "%q without quotes is read differently by different programs", n.Value)
	}
	if strings.HasPrefix(n.Value, "0") && len(n.Value) > 1 && strings.Trim(n.Value, "0123456789_") == "" {
		r.refuse(n, "put quotes around it", "%q without quotes is a number to some programs", n.Value)
	}
	return n.Value
}
