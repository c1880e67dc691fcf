package history

import (
	"encoding/json"
	"strconv"

	"github.com/visitgauge/visitgauge/engine/record"
)

// Earlier is what one visit is compared with. The zero value is a machine
// nothing is known of.
type Earlier struct {
	LastVisit    *record.Record // latest earlier visit, or nil
	LastServices []Service      // latest completed service of each level, sorted by level
	Meters       *record.Record // latest with a meter read, or nil
	Battery      *record.Record // latest with a gravity or a block voltage read, or nil
	OpenItems    []OpenItem     // sorted by day raised, then by item
	Tags         []OpenTag      // sorted by when placed, then by tag
	Restrictions []Restriction  // sorted by id
	MeterChanges []MeterChange  // in the order of the visits that recorded them
}

// Service is the latest completed service of one level.
type Service struct {
	Level string
	Visit *record.Record
}

// The slots that an earlier visit may fill.
const (
	SlotLastVisit   = "last_visit"
	SlotLastService = "last_service"
	SlotMeters      = "meters"
	SlotBattery     = "battery"
)

// Slot is one earlier visit with what it is wanted for.
type Slot struct {
	Name  string // one of the Slot constants
	Level string // service level, for SlotLastService alone
	Visit *record.Record
}

// Slots lists the earlier visits that are there, in a fixed order. One visit may
// fill several.
func (e Earlier) Slots() []Slot {
	var out []Slot
	if e.LastVisit != nil {
		out = append(out, Slot{Name: SlotLastVisit, Visit: e.LastVisit})
	}
	for _, s := range e.LastServices {
		out = append(out, Slot{Name: SlotLastService, Level: s.Level, Visit: s.Visit})
	}
	if e.Meters != nil {
		out = append(out, Slot{Name: SlotMeters, Visit: e.Meters})
	}
	if e.Battery != nil {
		out = append(out, Slot{Name: SlotBattery, Visit: e.Battery})
	}
	return out
}

// Visit is the earlier visit in one of the slots last_visit, meters and battery;
// nil if there is none.
func (e Earlier) Visit(slot string) *record.Record {
	switch slot {
	case SlotLastVisit:
		return e.LastVisit
	case SlotMeters:
		return e.Meters
	case SlotBattery:
		return e.Battery
	}
	return nil
}

// After is what stands open when rec, compared with e, is over: what e left open
// and rec did not answer, and what rec leaves itself.
func (e Earlier) After(rec *record.Record) (items []OpenItem, tags []OpenTag, restrictions []Restriction) {
	s := standing{items: e.OpenItems, tags: e.Tags, restrictions: e.Restrictions}.after(rec)
	return s.items, s.tags, s.restrictions
}

// Value is the document that rules see as input.earlier. Where there is none, a
// list is empty; nothing is null and no key is missing. The visits in it are
// those of the records and must not be changed.
func (e Earlier) Value() map[string]any {
	services := make([]any, len(e.LastServices))
	for i, s := range e.LastServices {
		services[i] = map[string]any{"level": s.Level, "visit": s.Visit.Value()}
	}
	items := make([]any, len(e.OpenItems))
	for i, o := range e.OpenItems {
		items[i] = map[string]any{
			"item":          o.Item,
			"about":         anys(o.About),
			"severity":      o.Severity,
			"owner":         o.Owner,
			"due":           o.Due,
			"what":          o.What,
			"raised_in":     o.RaisedIn,
			"raised_on":     o.RaisedOn,
			"times_carried": json.Number(strconv.Itoa(o.TimesCarried)),
		}
	}
	tags := make([]any, len(e.Tags))
	for i, t := range e.Tags {
		meters := t.Meters
		if meters == nil {
			meters = []any{}
		}
		tags[i] = map[string]any{
			"tag":       t.Tag,
			"about":     anys(t.About),
			"placed_in": t.PlacedIn,
			"placed_at": t.PlacedAt,
			"meters":    meters,
		}
	}
	restrictions := make([]any, len(e.Restrictions))
	for i, r := range e.Restrictions {
		restrictions[i] = map[string]any{
			"id":        r.ID,
			"not_to_do": r.NotToDo,
			"until":     r.Until,
			"about":     anys(r.About),
			"placed_in": r.PlacedIn,
		}
	}
	changes := make([]any, len(e.MeterChanges))
	for i, c := range e.MeterChanges {
		changes[i] = map[string]any{
			"meter":       c.Meter,
			"old_last":    c.OldLast,
			"new_first":   c.NewFirst,
			"recorded_in": c.RecordedIn,
			"recorded_at": c.RecordedAt,
		}
	}
	return map[string]any{
		"last_visit":    noneOrOne(e.LastVisit),
		"last_services": services,
		"meters":        noneOrOne(e.Meters),
		"battery":       noneOrOne(e.Battery),
		"open_items":    items,
		"tags":          tags,
		"restrictions":  restrictions,
		"meter_changes": changes,
	}
}

func noneOrOne(rec *record.Record) []any {
	if rec == nil {
		return []any{}
	}
	return []any{rec.Value()}
}

func anys(words []string) []any {
	out := make([]any, len(words))
	for i, w := range words {
		out[i] = w
	}
	return out
}
