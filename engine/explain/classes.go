package explain

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/reads"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

// ClassNumber is one number, or range of numbers, of one class of machine, each bound as
// it is written. What a class says without a unit and a source, such as the fuse of its
// charger, has none here either; About names its unit then.
type ClassNumber struct {
	Class    string `json:"class"`
	Name     string `json:"name"`  // such as ranges.brush-wear or charger.fuse
	About    string `json:"about"` // the title in the class, else what the schema of classes says
	Value    string `json:"value,omitempty"`
	Min      string `json:"min,omitempty"`
	Max      string `json:"max,omitempty"`
	Unit     string `json:"unit,omitempty"`
	Symbol   string `json:"symbol,omitempty"` // of the unit, as it is printed
	Step     string `json:"step,omitempty"`   // at which it is read
	Severity string `json:"severity,omitempty"`
	Place    string `json:"place,omitempty"`
	Decided  string `json:"decided,omitempty"`
	Mark     string `json:"mark,omitempty"`
	Source   string `json:"source,omitempty"`

	order string // sorts as the classes name it
}

// numbers gathers the numbers of classes that a rule reads.
type numbers struct {
	set   *ruleset.Set
	rule  string
	found *reads.Reads
	list  []ClassNumber
	// told are the ways in a class to what is told whole with a number: the number, and the
	// range or limit that it belongs to.
	told map[string]bool
}

// classes puts the numbers of classes that are read into the explanation, and what else
// is read of classes beside them. Numbers of one name stand together, in the order in
// which the classes name them.
func (x *Explanation) classes(set *ruleset.Set, found *reads.Reads, paths []reads.Path) error {
	described, err := classSchema()
	if err != nil {
		return err
	}
	n := &numbers{set: set, rule: x.Rule.Name, found: found, told: map[string]bool{}}
	all, _ := set.Data()["classes"].(map[string]any)
	var read []reads.Path
	for _, p := range paths {
		if p.Under("data", "classes") && len(p) > 3 {
			read = append(read, p)
			n.follow(spot{class: p[2], value: all[p[2]], described: described, path: p[:3]}, p[3:])
		}
	}
	x.ClassNumbers = append(x.ClassNumbers, n.ordered()...)
	for _, p := range read {
		if p = p[3:]; !n.told[p.String()] && !n.told[p[:len(p)-1].String()] {
			x.Class = appendNew(x.Class, p.String())
		}
	}
	slices.Sort(x.Class)
	return nil
}

// ordered puts the numbers of one name together.
func (n *numbers) ordered() []ClassNumber {
	slices.SortStableFunc(n.list, func(a, b ClassNumber) int { return strings.Compare(a.order, b.order) })
	var names []string
	for _, one := range n.list {
		names = appendNew(names, one.Name)
	}
	var out []ClassNumber
	for _, name := range names {
		for _, one := range n.list {
			if one.Name == name {
				out = append(out, one)
			}
		}
	}
	return out
}

// spot is a place in a class.
type spot struct {
	class     string
	name      []string // without the index of a row, but with its key
	value     any
	described map[string]any // by the schema of classes
	path      reads.Path     // the way to it, * for each row
	holder    *spot
	order     string // the way with the index of each row
}

// inner is what a member of a spot, or one of its rows, is.
func (s spot) inner(token string, row int, value any) spot {
	to := spot{class: s.class, value: value, holder: &s, path: append(slices.Clip(s.path), token)}
	to.order = fmt.Sprintf("%s.%s%06d", s.order, token, row)
	if token != "*" {
		properties, _ := s.described["properties"].(map[string]any)
		to.described, _ = properties[token].(map[string]any)
		to.name = append(slices.Clip(s.name), token)
		return to
	}
	to.described, _ = s.described["items"].(map[string]any)
	to.name = s.name
	key, _ := s.described[schema.KeyKeyword].(string)
	if row, ok := value.(map[string]any); ok && row[key] != nil {
		to.name = append(slices.Clip(s.name), fmt.Sprint(row[key]))
	}
	return to
}

// follow goes along what is read, and to the numbers inside of what is read whole.
func (n *numbers) follow(s spot, rest reads.Path) {
	below := rest[min(1, len(rest)):]
	switch v := s.value.(type) {
	case map[string]any:
		if len(rest) > 0 {
			if inner, ok := v[rest[0]]; ok {
				n.follow(s.inner(rest[0], 0, inner), below)
			}
			return
		}
		for _, name := range slices.Sorted(maps.Keys(v)) {
			n.follow(s.inner(name, 0, v[name]), below)
		}
	case []any:
		field, words := n.found.Rows(n.rule, append(slices.Clip(s.path), "*"))
		for i, row := range v {
			of, _ := row.(map[string]any)
			if field == "" || slices.Contains(words, fmt.Sprint(of[field])) {
				n.follow(s.inner("*", i, row), below)
			}
		}
	case json.Number:
		n.add(s)
	}
}

// limit is the fields of a limit with its unit and source, if the spot is one.
func (s *spot) limit() (map[string]any, bool) {
	of, _ := s.value.(map[string]any)
	return of, of["unit"] != nil && of["source"] != nil
}

// add takes down a number; one of a range with the whole range, and what says how a
// limit is decided with the limit.
func (n *numbers) add(s spot) {
	last := s.path[len(s.path)-1]
	one := ClassNumber{Class: s.class, Name: strings.Join(s.name, "."), About: s.about(), Value: fmt.Sprint(s.value), order: s.order}
	of, isLimit := s.holder.limit()
	n.told[s.path[3:].String()] = true
	text := func(field string) string {
		if v, ok := of[field]; ok {
			return fmt.Sprint(v)
		}
		return ""
	}
	if isLimit || last == "min" || last == "max" {
		n.told[s.holder.path[3:].String()] = true
		one = ClassNumber{Class: s.class, Name: strings.Join(s.holder.name, "."), About: text("title"), Min: text("min"), Max: text("max"),
			Unit: text("unit"), Symbol: symbol(n.set, text("unit")), Step: text("step"), Severity: text("severity"),
			Place: text("place"), Decided: text("decided"), Mark: text("mark"), Source: text("source"), order: s.holder.order}
		if one.About == "" {
			one.About = s.holder.about()
		}
	}
	if !slices.Contains(n.list, one) {
		n.list = append(n.list, one)
	}
}

// about is what the schema of classes says; of a row, what it says of all of them.
func (s *spot) about() string {
	if s.holder != nil && s.path[len(s.path)-1] == "*" {
		return s.holder.about()
	}
	text, _ := s.described["description"].(string)
	return strings.TrimSuffix(text, ".")
}

// symbol is a unit as the release prints it; empty for one that it prints without.
func symbol(set *ruleset.Set, unit string) string {
	units, _ := set.Data()["units"].(map[string]any)
	of, _ := units[unit].(map[string]any)
	text, _ := of["symbol"].(string)
	return text
}

// classSchema is what the schema of classes says of each class.
func classSchema() (map[string]any, error) {
	data, err := schema.Read("classes")
	if err != nil {
		return nil, fmt.Errorf("reading the schema of classes: %w", err)
	}
	var document struct {
		Patterns map[string]map[string]any `json:"patternProperties"`
	}
	if err := json.Unmarshal(data, &document); err != nil {
		return nil, fmt.Errorf("reading the schema of classes: %w", err)
	}
	for _, of := range document.Patterns {
		return of, nil
	}
	return nil, nil
}
