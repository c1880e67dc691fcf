package review

import (
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// document is a YAML or JSON file with the lines of what is in it.
type document struct {
	file string
	root *yaml.Node
}

func parse(file string, data []byte) (*document, error) {
	var root yaml.Node
	if err := yaml.Unmarshal(data, &root); err != nil {
		return nil, fmt.Errorf("reading %s: %w", file, err)
	}
	if len(root.Content) != 1 {
		return nil, fmt.Errorf("reading %s: it is empty", file)
	}
	return &document{file, root.Content[0]}, nil
}

// line is the line on which the name of a member stands, 0 if it is not there.
func (d *document) line(path ...string) int {
	at, line := d.root, 0
	for _, name := range path {
		if at.Kind != yaml.MappingNode {
			return 0
		}
		found := false
		for i := 0; i+1 < len(at.Content) && !found; i += 2 {
			if at.Content[i].Value == name {
				line, at, found = at.Content[i].Line, at.Content[i+1], true
			}
		}
		if !found {
			return 0
		}
	}
	return line
}

// readData reads the data files of the release.
func (r *reviewer) readData() error {
	r.data = map[string]*document{}
	var fault error
	err := r.walk(".yaml", func(name string, data []byte) {
		if strings.HasPrefix(name, "examples/") {
			return
		}
		d, err := parse(name, data)
		if err != nil {
			fault = err
			return
		}
		r.data[name] = d
	})
	return firstOf(fault, err)
}

func firstOf(errs ...error) error {
	if i := slices.IndexFunc(errs, func(err error) bool { return err != nil }); i >= 0 {
		return errs[i]
	}
	return nil
}
