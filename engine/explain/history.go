package explain

import (
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/reads"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Change is what one release did to a rule, against the release before it.
type Change struct {
	Release string   `json:"release"`
	State   string   `json:"state"`
	From    string   `json:"from"` // first local day in force, YYYY-MM-DD
	What    string   `json:"what"` // added, changed, unchanged, dropped or absent
	Why     []string `json:"why"`  // what changed of it
}

// The words of [Change].What.
const (
	Added     = "added"
	Changed   = "changed"
	Unchanged = "unchanged"
	Dropped   = "dropped"
	Absent    = "absent"
)

// history follows a rule through the releases.
func history(all []Release, name string) ([]Change, error) {
	out := []Change{}
	var before *state
	for _, r := range all {
		now, err := stateOf(r, name)
		if err != nil {
			return nil, err
		}
		c := Change{Release: r.Set.Version(), State: r.Entry.State, From: r.Entry.From, Why: []string{}}
		switch {
		case before == nil && now == nil:
			c.What = Absent
		case before == nil:
			c.What = Added
		case now == nil:
			c.What = Dropped
		default:
			c.What, c.Why = Unchanged, before.differences(now)
			if len(c.Why) > 0 {
				c.What = Changed
			}
		}
		before = now
		out = append(out, c)
	}
	return out, nil
}

// state is all that a rule rests on in one release.
type state struct {
	text    string
	helpers map[string]string
	values  map[string]string // of data, by dotted path
}

// stateOf gathers what a rule rests on; nil where the release has no such rule.
func stateOf(r Release, name string) (*state, error) {
	if _, ok := r.Set.Rule(name); !ok {
		return nil, nil
	}
	file := strings.ReplaceAll(name, ".", "/") + ".rego"
	text, err := fs.ReadFile(r.Files, file)
	if err != nil {
		return nil, fmt.Errorf("reading rule %s of release %s: %w", name, r.Set.Version(), err)
	}
	found, err := reads.Find(r.Set)
	if err != nil {
		return nil, err
	}
	use := found.Rule(name)
	s := &state{text: string(text), helpers: use.Helpers, values: map[string]string{}}
	for _, p := range use.Paths {
		if p.Under("data") {
			s.values[p[1:].String()] = strings.Join(valuesAt(r.Set, p[1:]), " ")
		}
	}
	return s, nil
}

// valuesAt are the values that a path of the data leads to.
func valuesAt(set *ruleset.Set, path []string) []string {
	at := []any{set.Data()}
	for _, token := range path {
		var next []any
		for _, v := range at {
			switch v := v.(type) {
			case map[string]any:
				if inner, ok := v[token]; ok {
					next = append(next, inner)
				}
			case []any:
				next = append(next, v...)
			}
		}
		at = next
	}
	var out []string
	for _, v := range at {
		out = append(out, fmt.Sprint(v))
	}
	return out
}

// differences says what changed.
func (s *state) differences(now *state) []string {
	out := []string{}
	if s.text != now.text {
		out = append(out, "its own file")
	}
	for _, name := range both(s.helpers, now.helpers) {
		if s.helpers[name] != now.helpers[name] {
			out = append(out, "the helper "+name)
		}
	}
	for _, path := range both(s.values, now.values) {
		was, isNow := s.values[path], now.values[path]
		switch {
		case was == isNow:
		case strings.HasPrefix(path, "limits.") && was != "" && isNow != "":
			out = append(out, fmt.Sprintf("%s, from %s to %s", path, was, isNow))
		default:
			out = append(out, path)
		}
	}
	return out
}

func both(a, b map[string]string) []string {
	names := append(slices.Collect(maps.Keys(a)), slices.Collect(maps.Keys(b))...)
	slices.Sort(names)
	return slices.Compact(names)
}
