package review

import (
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

//go:embed exemptions.yaml
var exemptionsFile []byte

// exemptions are fields that no rule reads and that are there all the same, with the
// reason for each.
type exemptions struct {
	Visit map[string]string `yaml:"visit"` // by JSON pointer below the schema of visits
	Class map[string]string `yaml:"class"` // by dotted path below a class, * for each element
}

func readExemptions() (exemptions, error) {
	var e exemptions
	if err := yaml.Unmarshal(exemptionsFile, &e); err != nil {
		return e, fmt.Errorf("reading the exemptions: %w", err)
	}
	return e, nil
}

// limits finds limits that no rule reads. A rule that takes a limit by a name that
// is put together when it judges counts as reading all of that area.
func (r *reviewer) limits() {
	limits := object(r.set.Data()["limits"])
	paths := r.reads.All().Paths
	for _, area := range slices.Sorted(maps.Keys(limits)) {
		for _, name := range slices.Sorted(maps.Keys(object(limits[area]))) {
			read := false
			for _, p := range paths {
				read = read || p.Under("data", "limits", area, name)
			}
			if !read {
				r.add(Limits, "limits.yaml", r.data["limits.yaml"].line("limits", area, name),
					fmt.Sprintf("no rule reads the limit %s.%s", area, name), "take it out, or let a rule read data.limits."+area+"."+name)
			}
		}
	}
}

// unread are the fields that a release itself says are unread, by line of the file.
func (r *reviewer) unread() (map[string]int, error) {
	lines := map[string]int{}
	data, err := fs.ReadFile(r.files, ruleset.UnreadFile)
	if errors.Is(err, fs.ErrNotExist) {
		return lines, nil
	}
	if err != nil {
		return nil, fmt.Errorf("reading what is unread: %w", err)
	}
	var doc struct {
		Unread []yaml.Node `yaml:"unread"`
	}
	if err := yaml.Unmarshal(data, &doc); err != nil {
		return nil, fmt.Errorf("reading %s: %w", ruleset.UnreadFile, err)
	}
	for _, n := range doc.Unread {
		var e struct {
			Field string `yaml:"field"`
		}
		if err := n.Decode(&e); err != nil {
			return nil, fmt.Errorf("reading %s: %w", ruleset.UnreadFile, err)
		}
		lines[e.Field] = n.Line
	}
	return lines, nil
}

// unreadMend is what can be done about a field that no rule reads.
const unreadMend = "let a rule read it, or list it in " + ruleset.UnreadFile + " with what it is there for"

// fields finds fields of a visit and of a class that no rule reads.
func (r *reviewer) fields() error {
	exempt, err := readExemptions()
	if err != nil {
		return err
	}
	listed, err := r.unread()
	if err != nil {
		return err
	}
	needed := map[string]bool{}
	data, err := schema.Read("visit")
	if err != nil {
		return fmt.Errorf("reading the schema of visits: %w", err)
	}
	const file = "visit.v1.json"
	d, err := parse(file, data)
	if err != nil {
		return err
	}
	for _, f := range r.reads.Unread() {
		if _, ok := exempt.Visit[f.At]; ok {
			continue
		}
		name := pointer(f.Path[2:])
		if needed[name] = true; listed[name] == 0 {
			r.add(Fields, file, d.line(strings.Split(f.At, "/")[1:]...), "no rule reads the field "+name, unreadMend)
		}
	}
	read := map[string]bool{}
	for _, p := range r.reads.All().Paths {
		if p.Under("data", "classes") && len(p) > 3 {
			read[p[3:].String()] = true
		}
	}
	for _, class := range slices.Sorted(maps.Keys(object(r.set.Data()["classes"]))) {
		file := "classes/" + class + ".yaml"
		have := map[string][]string{}
		leaves(object(r.set.Data()["classes"])[class], nil, have)
		for _, name := range slices.Sorted(maps.Keys(have)) {
			if _, ok := exempt.Class[name]; ok || read[name] {
				continue
			}
			if needed[name] = true; listed[name] == 0 {
				r.add(Fields, file, r.data[file].line(append([]string{class}, have[name]...)...),
					fmt.Sprintf("no rule reads %s of the class", name), "take it out, "+unreadMend)
			}
		}
	}
	for name, line := range listed {
		if !needed[name] {
			r.add(Fields, ruleset.UnreadFile, line, fmt.Sprintf("%s is listed as unread: a rule reads it, or it is no field", name), "remove the entry")
		}
	}
	return nil
}

// leaves lists the single values below v by dotted path, with the names that lead to
// the last object that is no element of an array.
func leaves(v any, path []string, out map[string][]string) {
	switch v := v.(type) {
	case map[string]any:
		for name, inner := range v {
			leaves(inner, append(slices.Clip(path), name), out)
		}
	case []any:
		for _, inner := range v {
			leaves(inner, append(slices.Clip(path), "*"), out)
		}
	default:
		plain := path
		if i := slices.Index(path, "*"); i >= 0 {
			plain = path[:i]
		}
		out[strings.Join(path, ".")] = plain
	}
}

// steps finds steps that no class requires.
func (r *reviewer) steps() {
	required := map[string]bool{}
	for _, class := range object(r.set.Data()["classes"]) {
		list, _ := object(class)["requires"].([]any)
		for _, level := range list {
			names, _ := object(level)["steps"].([]any)
			for _, name := range names {
				required[fmt.Sprint(name)] = true
			}
		}
	}
	for _, step := range slices.Sorted(maps.Keys(object(r.set.Data()["steps"]))) {
		if !required[step] {
			r.add(Steps, "steps.yaml", r.data["steps.yaml"].line("steps", step),
				fmt.Sprintf("no class requires the step %s", step), "take it out, or add it to the requires of a class")
		}
	}
}

func object(v any) map[string]any {
	m, _ := v.(map[string]any)
	return m
}

func text(v any, name string) string {
	switch t := object(v)[name].(type) {
	case string:
		return t
	case json.Number:
		return t.String()
	}
	return ""
}

func pointer(path []string) string { return "/" + strings.Join(path, "/") }
