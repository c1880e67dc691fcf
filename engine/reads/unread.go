package reads

import "slices"

// A Field is a field of the schema of visits that no rule of the release reads.
type Field struct {
	At   string // JSON pointer below the schema of visits: /$defs/cell/properties/cell
	Path Path   // one way to it
}

// Unread lists the single fields of a visit that nothing reads, sorted by place. A
// field that several parts of a visit have in common is read if it is in one of
// them, in the visit itself or in an earlier one.
func (r *Reads) Unread() []Field {
	read := map[string]bool{}
	for _, u := range r.flow.all() {
		for p := range u.reads {
			read[p.at] = true
		}
	}
	fields := map[string]Path{}
	var walk func(p *place)
	walk = func(p *place) {
		if p.single {
			if _, known := fields[p.at]; !known && !read[p.at] {
				fields[p.at] = p.path
			}
			return
		}
		inner := p.every()
		slices.SortFunc(inner, func(a, b *place) int { return slices.Compare(a.path, b.path) })
		for _, next := range inner {
			walk(next)
		}
	}
	walk(r.flow.input.member("visit"))
	var out []Field
	for at, path := range fields {
		out = append(out, Field{at, path})
	}
	slices.SortFunc(out, func(a, b Field) int { return slices.Compare(a.Path, b.Path) })
	return out
}

// all are all units, of rules and of functions as they are called.
func (f *flow) all() []*unit {
	out := make([]*unit, 0, len(f.groups)+len(f.calls))
	for _, u := range f.groups {
		out = append(out, u)
	}
	for _, u := range f.calls {
		out = append(out, u)
	}
	return out
}
