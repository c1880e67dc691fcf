package reads

import (
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Rows tells by which field of the rows of an array, and by which words in it, a rule
// takes the rows that its subjects come from: group and "wear" of what a helper sorts by
// the group of each row. The path leads to the rows and ends in *. No field is told, and
// any row may be meant, where the rule or a helper of its subjects reads the rows in any
// other way. What the rule takes by a subject's name out of what helpers have built counts
// as that subject's row.
func (r *Reads) Rows(name string, rows Path) (field string, words []string) {
	own := "data." + name + "."
	seen := map[*unit]bool{}
	var visit func(u *unit)
	visit = func(u *unit) {
		if seen[u] || !u.shared() && !strings.HasPrefix(u.name, own) {
			return
		}
		seen[u] = true
		for next := range u.uses {
			visit(next)
		}
	}
	if u, ok := r.flow.groups[own+ruleset.Subjects]; ok {
		visit(u)
	}
	makers := map[*unit]bool{}
	for u := range seen {
		for a := range u.asks {
			for _, key := range fieldsOf(a.of, rows) {
				if a.word == "" || field != "" && field != key || !r.flow.onlyBy(a.of) {
					return "", nil
				}
				field, words = key, append(words, a.word)
				makers[a.of.by] = true
			}
		}
	}
	for _, u := range r.flow.all() {
		if !makers[u] && (seen[u] || strings.HasPrefix(u.name, own)) && u.inside(rows) {
			return "", nil
		}
	}
	slices.Sort(words)
	return field, slices.Compact(words)
}

// fieldsOf are the fields of the rows by which a thing was built.
func fieldsOf(b *built, rows Path) []string {
	var out []string
	for l := range b.keys.locs {
		if p, ok := l.(*place); ok && len(p.path) == len(rows)+1 && Path(p.path).Under(rows...) {
			out = append(out, p.path[len(rows)])
		}
	}
	return out
}

// onlyBy tells whether a thing is all that one rule by itself builds, by its keys alone.
func (f *flow) onlyBy(b *built) bool {
	return len(b.by.rules) == 1 && b.by.rules[0].Else == nil && len(b.fields) == 0 && f.sites[siteKey{b.by, ""}] == b
}

// inside tells whether a unit reads anything of the rows themselves.
func (u *unit) inside(rows Path) bool {
	for p, direct := range u.reads {
		if direct && Path(p.path).Under(rows...) {
			return true
		}
	}
	return false
}
