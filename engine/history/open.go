package history

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/schema"
)

// MaxOpen is how many open items, how many open tags and how many restrictions
// are kept of one machine. Past it the least grave and oldest items, the oldest
// tags and the restrictions that end last go. A visit must answer every open item
// and tag that it is told of, so one that faces this many without answering them
// is faulted for these, and an expired restriction, the gravest, is kept before all
// that still hold; none passes because others were dropped.
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

// Restriction was set by an earlier visit, and no visit since lifted it. It is
// lifted when every subject that it is about was the subject of an item closed
// since, or when it is set again under its id; not by being left out of a record.
type Restriction struct {
	ID       string
	NotToDo  string
	Until    string   // last day it holds
	About    []string // subjects that it still stands for
	PlacedIn string   // visit id

	placed time.Time // end of the visit that set it
}

// MeterChange is a meter replaced, as an earlier visit recorded it. Hours run
// since a visit count the changes recorded by the visits after it.
type MeterChange struct {
	Meter      string
	OldLast    map[string]any // value and unit, as the record has them
	NewFirst   map[string]any
	RecordedIn string // visit id
	RecordedAt string // RFC 3339, end of that visit

	recorded time.Time
}

// standing is what stands open after some visits.
type standing struct {
	items        []OpenItem    // sorted by day raised, then by item
	tags         []OpenTag     // sorted by when placed, then by tag
	restrictions []Restriction // sorted by id
	changes      []MeterChange // in the order of the visits; the latest MaxOpen
}

// after is what stands after one more visit. It changes nothing in s.
func (s standing) after(rec *record.Record) standing {
	return standing{
		items:        itemsAfter(s.items, rec),
		tags:         tagsAfter(s.tags, rec),
		restrictions: restrictionsAfter(s.restrictions, s.items, rec),
		changes:      changesAfter(s.changes, rec),
	}
}

// asOf leaves out what was raised or set by visits that ended after at. It
// matters only for a visit handed in later than the kept ones reach.
func (s standing) asOf(at time.Time) standing {
	return standing{
		items:        slices.DeleteFunc(slices.Clone(s.items), func(i OpenItem) bool { return i.raised.After(at) }),
		tags:         slices.DeleteFunc(slices.Clone(s.tags), func(t OpenTag) bool { return t.placed.After(at) }),
		restrictions: slices.DeleteFunc(slices.Clone(s.restrictions), func(r Restriction) bool { return r.placed.After(at) }),
		changes:      slices.DeleteFunc(slices.Clone(s.changes), func(c MeterChange) bool { return c.recorded.After(at) }),
	}
}

func changesAfter(before []MeterChange, rec *record.Record) []MeterChange {
	out := slices.Clone(before)
	for _, c := range objects(rec.Value(), "meter_changes") {
		out = append(out, MeterChange{
			Meter:      text(c, "meter"),
			OldLast:    object(c, "old_last"),
			NewFirst:   object(c, "new_first"),
			RecordedIn: rec.ID(),
			RecordedAt: text(rec.Value(), "ended"),
			recorded:   rec.Ended(),
		})
	}
	if over := len(out) - MaxOpen; over > 0 {
		out = out[over:]
	}
	return out
}

func restrictionsAfter(before []Restriction, items []OpenItem, rec *record.Record) []Restriction {
	closed := map[string]bool{}
	for _, a := range objects(rec.Value(), "open_items_answered") {
		closed[text(a, "item")] = text(a, "answer") == "closed"
	}
	for _, f := range objects(rec.Value(), "follow_ups") {
		closed[text(f, "item")] = false // raised again under its id is kept
	}
	settled := map[string]bool{} // subjects
	for _, i := range items {
		for _, subject := range i.About {
			settled[subject] = settled[subject] || closed[i.Item]
		}
	}
	set := map[string]bool{}
	var out []Restriction
	for _, r := range objects(rec.Value(), "restrictions") {
		set[text(r, "id")] = true
		out = append(out, Restriction{
			ID:       text(r, "id"),
			NotToDo:  text(r, "not_to_do"),
			Until:    text(r, "until"),
			About:    words(r, "about"),
			PlacedIn: rec.ID(),
			placed:   rec.Ended(),
		})
	}
	for _, r := range before {
		r.About = slices.DeleteFunc(slices.Clone(r.About), func(subject string) bool { return settled[subject] })
		if !set[r.ID] && len(r.About) > 0 {
			out = append(out, r)
		}
	}
	if len(out) > MaxOpen {
		slices.SortFunc(out, func(a, b Restriction) int {
			return cmp.Or(strings.Compare(a.Until, b.Until), strings.Compare(a.ID, b.ID))
		})
		out = out[:MaxOpen]
	}
	slices.SortFunc(out, func(a, b Restriction) int { return strings.Compare(a.ID, b.ID) })
	return out
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
		return cmp.Or(hung(a).Compare(hung(b)), strings.Compare(a.Tag, b.Tag))
	})
	if len(tags) > MaxOpen {
		tags = tags[len(tags)-MaxOpen:]
	}
	return tags
}

// hung is when a tag was placed. The decoder has checked the time.
func hung(t OpenTag) time.Time {
	at, _ := schema.ParseDateTime(t.PlacedAt)
	return at
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
