package history

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"github.com/visitgauge/visitgauge/engine/record"
)

// MaxOpen is how many open items, and how many open tags, are kept of one
// machine. Past it the least grave and oldest go first. A visit must answer every
// open item it is told of, so one that faces this many without answering them is
// faulted for these; none passes because others were dropped.
const MaxOpen = 256

// OpenItem is a follow-up of an earlier visit that no visit since closed or
// handed over.
type OpenItem struct {
	Item     string
	About    []string // subjects
	Severity string   // critical, major or minor
	Owner    string   // us or customer
	Due      string   // day due, the newest one given
	What     string
	RaisedIn string // visit id
	RaisedOn string // day
	// TimesCarried counts the visits since that kept it open, by answering so
	// or by raising it again.
	TimesCarried int

	raised time.Time // end of the visit that raised it
}

// OpenTag is a tag of an earlier visit that no visit since released.
type OpenTag struct {
	Tag      string
	About    []string
	PlacedIn string // visit id
	PlacedAt string // RFC 3339
	Meters   []any  // meters of the visit that placed it, as its record has them

	placed time.Time // end of the visit that placed it
}

// Restriction was set by the latest visit that reached the machine.
type Restriction struct {
	ID       string
	NotToDo  string
	Until    string // last day it holds
	About    []string
	PlacedIn string // visit id
}

// standing is what stands open after some visits.
type standing struct {
	items        []OpenItem // sorted by day raised, then by item
	tags         []OpenTag  // sorted by when placed, then by tag
	restrictions []Restriction
	last         *record.Record // the visit that set the restrictions
}

// after is what stands after one more visit. It changes nothing in s.
func (s standing) after(rec *record.Record) standing {
	return standing{
		items:        itemsAfter(s.items, rec),
		tags:         tagsAfter(s.tags, rec),
		restrictions: s.restrictions,
		last:         s.last,
	}.restricted(rec)
}

// restricted takes over the restrictions that rec sets. A visit that never
// reached the machine, or that is older than the one that set the present ones,
// leaves them as they are.
func (s standing) restricted(rec *record.Record) standing {
	if rec.EndedAs() == "not-available" || s.last != nil && compare(rec, s.last) < 0 {
		return s
	}
	s.last, s.restrictions = rec, nil
	for _, r := range objects(rec.Value(), "restrictions") {
		s.restrictions = append(s.restrictions, Restriction{
			ID:       text(r, "id"),
			NotToDo:  text(r, "not_to_do"),
			Until:    text(r, "until"),
			About:    words(r, "about"),
			PlacedIn: rec.ID(),
		})
	}
	slices.SortFunc(s.restrictions, func(a, b Restriction) int { return strings.Compare(a.ID, b.ID) })
	return s
}

// asOf leaves out what was raised or set by visits that ended after at. It
// matters only for a visit handed in later than the kept ones reach.
func (s standing) asOf(at time.Time) standing {
	s.items = slices.DeleteFunc(slices.Clone(s.items), func(i OpenItem) bool { return i.raised.After(at) })
	s.tags = slices.DeleteFunc(slices.Clone(s.tags), func(t OpenTag) bool { return t.placed.After(at) })
	if s.last != nil && s.last.Ended().After(at) {
		s.last, s.restrictions = nil, nil
	}
	return s
}

func itemsAfter(before []OpenItem, rec *record.Record) []OpenItem {
	open := map[string]OpenItem{}
	for _, i := range before {
		open[i.Item] = i
	}
	raised := map[string]map[string]any{}
	for _, f := range objects(rec.Value(), "follow_ups") {
		raised[text(f, "item")] = f
	}
	carried := map[string]bool{}
	for _, a := range objects(rec.Value(), "open_items_answered") {
		i, known := open[text(a, "item")]
		if !known {
			continue
		}
		if text(a, "answer") != "kept" {
			// Closed and raised again under its old id is kept, whatever it is called.
			if raised[i.Item] == nil {
				delete(open, i.Item)
			}
			continue
		}
		if due := text(a, "due"); due != "" {
			i.Due = due
		}
		i.TimesCarried++
		carried[i.Item] = true
		open[i.Item] = i
	}
	for item, f := range raised {
		i, known := open[item]
		if !known {
			i = OpenItem{Item: item, RaisedIn: rec.ID(), RaisedOn: text(f, "raised"), raised: rec.Ended()}
		} else if !carried[item] {
			i.TimesCarried++
		}
		i.About, i.Severity, i.Owner = words(f, "about"), text(f, "severity"), text(f, "owner")
		i.Due, i.What = text(f, "due"), text(f, "what")
		open[item] = i
	}
	items := make([]OpenItem, 0, len(open))
	for _, i := range open {
		items = append(items, i)
	}
	byAge := func(a, b OpenItem) int {
		return cmp.Or(strings.Compare(a.RaisedOn, b.RaisedOn), strings.Compare(a.Item, b.Item))
	}
	if len(items) > MaxOpen {
		slices.SortFunc(items, func(a, b OpenItem) int {
			return cmp.Or(cmp.Compare(grade(a.Severity), grade(b.Severity)), byAge(b, a))
		})
		items = items[:MaxOpen]
	}
	slices.SortFunc(items, byAge)
	return items
}

// grade orders severities, gravest first.
func grade(severity string) int {
	return slices.Index([]string{"critical", "major", "minor"}, severity)
}

func tagsAfter(before []OpenTag, rec *record.Record) []OpenTag {
	released := map[string]bool{}
	for _, a := range objects(rec.Value(), "tags_answered") {
		released[text(a, "tag")] = text(a, "answer") == "released"
	}
	placed := map[string]bool{}
	var tags []OpenTag
	for _, p := range objects(rec.Value(), "tags_placed") {
		placed[text(p, "tag")] = true
		tags = append(tags, OpenTag{
			Tag:      text(p, "tag"),
			About:    words(p, "about"),
			PlacedIn: rec.ID(),
			PlacedAt: text(p, "at"),
			Meters:   list(rec.Value(), "meters"),
			placed:   rec.Ended(),
		})
	}
	for _, t := range before {
		switch {
		case placed[t.Tag]:
			// Hung up again without having been released: the hours run since it
			// was first placed count, so the first placing stands.
			if !released[t.Tag] {
				tags = slices.DeleteFunc(tags, func(n OpenTag) bool { return n.Tag == t.Tag })
				tags = append(tags, t)
			}
		case !released[t.Tag]:
			tags = append(tags, t)
		}
	}
	slices.SortFunc(tags, func(a, b OpenTag) int {
		return cmp.Or(instant(a.PlacedAt).Compare(instant(b.PlacedAt)), strings.Compare(a.Tag, b.Tag))
	})
	if len(tags) > MaxOpen {
		tags = tags[len(tags)-MaxOpen:]
	}
	return tags
}

func words(from map[string]any, name string) []string {
	var out []string
	for _, v := range list(from, name) {
		if s, ok := v.(string); ok {
			out = append(out, s)
		}
	}
	return out
}
