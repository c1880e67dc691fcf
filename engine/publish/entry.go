package publish

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// field is one field of an entry of releases.yaml.
type field struct{ key, value string }

// fieldsOf are the fields of an entry in the order in which they are written;
// those without a value are left out.
func fieldsOf(r ruleset.Release) []field {
	all := []field{
		{"version", r.Version}, {"digest", r.Digest}, {"state", r.State}, {"from", r.From},
		{"author", r.Author}, {"approved_by", r.ApprovedBy}, {"approved_on", r.ApprovedOn},
		{"told", r.Told}, {"reason", r.Reason}, {"review", r.Review}, {"note", r.Note},
		{"withdrawn_on", r.WithdrawnOn}, {"withdrawn_because", r.WithdrawnBecause},
	}
	return slices.DeleteFunc(all, func(f field) bool { return f.value == "" })
}

// line is the field as a line of YAML, in quotes where it would be taken for
// something else.
func (f field) line(indent string) (string, error) {
	out, err := yaml.Marshal(map[string]string{f.key: f.value})
	return indent + strings.TrimSuffix(string(out), "\n"), err
}

// withEntry is the content of a releases.yaml with one entry more, behind the
// others. All that stands there stays as its authors wrote it.
func withEntry(content []byte, r ruleset.Release) ([]byte, error) {
	lines, entries, err := entriesOf(content)
	if err != nil {
		return nil, err
	}
	last := entries[len(entries)-1]
	added, err := last.block(fieldsOf(r))
	if err != nil {
		return nil, err
	}
	return joined(append(lines, added...)), nil
}

// withFields is the content of a releases.yaml in which the entry of a release has
// these fields and no others, each in its line. Comments stay where they are.
func withFields(content []byte, r ruleset.Release) ([]byte, error) {
	lines, entries, err := entriesOf(content)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		if e.version != r.Version {
			continue
		}
		changed, err := e.with(lines[e.first:e.end], fieldsOf(r))
		if err != nil {
			return nil, err
		}
		return joined(slices.Concat(lines[:e.first], changed, lines[e.end:])), nil
	}
	return nil, fmt.Errorf("there is no entry for %s", r.Version)
}

func joined(lines []string) []byte { return []byte(strings.Join(lines, "\n") + "\n") }

// An entry is where one release stands in releases.yaml.
type entry struct {
	version    string
	node       *yaml.Node
	first, end int    // lines, from 0, without the end
	dash       string // what stands before the first key: spaces, dash and spaces
}

var dashes = regexp.MustCompile(`^ *- +`)

// entriesOf finds the entries, which stand one below the other.
func entriesOf(content []byte) ([]string, []entry, error) {
	var doc yaml.Node
	if err := yaml.Unmarshal(content, &doc); err != nil {
		return nil, nil, err
	}
	lines := strings.Split(strings.TrimRight(string(content), "\n"), "\n")
	var out []entry
	for _, node := range under(&doc, "releases") {
		e := entry{node: node, first: node.Line - 1, end: len(lines)}
		if e.dash = dashes.FindString(lines[e.first]); e.dash == "" {
			return nil, nil, fmt.Errorf("line %d: an entry does not begin with a dash\n    mend: write the entries one below the other, each begun with a dash", node.Line)
		}
		for i := 0; i+1 < len(node.Content); i += 2 {
			if node.Content[i].Value == "version" {
				e.version = node.Content[i+1].Value
			}
		}
		if n := len(out); n > 0 {
			out[n-1].end = e.first
		}
		out = append(out, e)
	}
	if len(out) == 0 {
		return nil, nil, fmt.Errorf("it lists no release")
	}
	return lines, out, nil
}

// under are the elements of the list that a document has under a key.
func under(doc *yaml.Node, key string) []*yaml.Node {
	if len(doc.Content) != 1 {
		return nil
	}
	top := doc.Content[0]
	for i := 0; i+1 < len(top.Content); i += 2 {
		if top.Content[i].Value == key {
			return top.Content[i+1].Content
		}
	}
	return nil
}

// block writes fields as an entry of its own, set as e is.
func (e entry) block(fields []field) ([]string, error) {
	indent := e.dash
	var out []string
	for _, f := range fields {
		line, err := f.line(indent)
		if err != nil {
			return nil, err
		}
		out = append(out, line)
		indent = strings.Repeat(" ", len(e.dash))
	}
	return out, nil
}

// A piece is a run of lines of an entry: a key with its value, and before it the
// comments and empty lines that lead to it.
type piece struct {
	key  string // empty for what follows the last key
	lead []string
	text []string // the key's line, and those over which its value goes on
	note string   // the comment at the end of the line
}

// with gives the lines of an entry other fields.
func (e entry) with(lines []string, fields []field) ([]string, error) {
	if e.node.Style&yaml.FlowStyle != 0 {
		return e.unfolded(lines, fields)
	}
	pieces := e.pieces(lines)
	at := 0 // behind the field before
	for _, f := range fields {
		i := slices.IndexFunc(pieces, func(p piece) bool { return p.key == f.key })
		if i < 0 {
			line, err := f.line(strings.Repeat(" ", len(e.dash)))
			if err != nil {
				return nil, err
			}
			pieces = slices.Insert(pieces, at, piece{key: f.key, text: []string{line}})
			at++
			continue
		}
		at = max(at, i+1)
		if e.value(f.key) == f.value {
			continue
		}
		line, err := f.line(pieces[i].text[0][:len(e.dash)])
		if err != nil {
			return nil, err
		}
		if pieces[i].note != "" {
			line += " " + pieces[i].note
		}
		pieces[i].text = []string{line}
	}
	var out []string
	for _, p := range pieces {
		if p.key != "" && !slices.ContainsFunc(fields, func(f field) bool { return f.key == p.key }) {
			return nil, fmt.Errorf("line %d: the field %s would be lost", e.first+1, p.key)
		}
		out = append(append(out, p.lead...), p.text...)
	}
	return out, nil
}

// value is what the entry has for a key.
func (e entry) value(key string) string {
	for i := 0; i+1 < len(e.node.Content); i += 2 {
		if e.node.Content[i].Value == key {
			return e.node.Content[i+1].Value
		}
	}
	return ""
}

// pieces takes the lines of an entry apart.
func (e entry) pieces(lines []string) []piece {
	var out []piece
	from := 0
	for i := 0; i+1 < len(e.node.Content); i += 2 {
		key, value := e.node.Content[i], e.node.Content[i+1]
		start := key.Line - 1 - e.first
		end := len(lines)
		if i+2 < len(e.node.Content) {
			end = e.node.Content[i+2].Line - 1 - e.first
		}
		next := end
		for end > start+1 && idle(lines[end-1]) {
			end--
		}
		note := value.LineComment
		if value.Line != key.Line {
			note = key.LineComment
		}
		out = append(out, piece{key: key.Value, lead: lines[from:start], text: lines[start:end], note: note})
		from = end
		if next == len(lines) {
			out = append(out, piece{lead: lines[end:]})
		}
	}
	return out
}

// idle tells whether a line holds no more than a comment.
func idle(line string) bool {
	line = strings.TrimSpace(line)
	return line == "" || line[0] == '#'
}

// unfolded writes an entry in braces on one line as one with a line a field. What
// is said of it behind the braces, and below, stays.
func (e entry) unfolded(lines []string, fields []field) ([]string, error) {
	for _, n := range e.node.Content {
		if n.Line != e.node.Line {
			return nil, fmt.Errorf("line %d: the entry in braces goes over several lines\n    mend: give it one line a field, without braces", e.node.Line)
		}
	}
	out, err := e.block(fields)
	if err != nil {
		return nil, err
	}
	if e.node.LineComment != "" {
		out[0] += " " + e.node.LineComment
	}
	return append(out, lines[1:]...), nil
}
