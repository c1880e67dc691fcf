package history

import (
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/record"
)

// Choose is what a record is compared with where all visits of its machine are at
// hand: those of them that ended no later than it started, whatever order they
// stand in. The record itself may be among them and is not compared with itself.
// Each visit must be there once, in the form that stands. Where a [Tracker] still
// keeps what it needs, it comes to the same.
func Choose(rec *record.Record, machine []*record.Record) Earlier {
	earlier := slices.DeleteFunc(slices.Clone(machine), func(r *record.Record) bool { return !precedes(r, rec) })
	slices.SortFunc(earlier, compare)
	var c choice
	var open standing
	for _, r := range earlier {
		c.look(r)
		open = open.after(r)
	}
	return c.earlier(open)
}

// precedes tells whether a visit is one that rec is compared with.
func precedes(r, rec *record.Record) bool {
	return r != nil && r.Serial() == rec.Serial() && r.ID() != rec.ID() && !r.Ended().After(rec.Started())
}

// choice finds the latest visit for each slot.
type choice struct {
	found    Earlier
	services map[string]*record.Record
}

// look takes one more visit into account.
func (c *choice) look(r *record.Record) {
	c.found.LastVisit = later(c.found.LastVisit, r)
	if level, ok := completedService(r); ok {
		if c.services == nil {
			c.services = map[string]*record.Record{}
		}
		c.services[level] = later(c.services[level], r)
	}
	if metersRead(r) {
		c.found.Meters = later(c.found.Meters, r)
	}
	if batteryRead(r) {
		c.found.Battery = later(c.found.Battery, r)
	}
}

// earlier is what was found, and what stands open after all that was looked at.
func (c *choice) earlier(open standing) Earlier {
	e := c.found
	for level, r := range c.services {
		e.LastServices = append(e.LastServices, Service{Level: level, Visit: r})
	}
	slices.SortFunc(e.LastServices, func(a, b Service) int { return strings.Compare(a.Level, b.Level) })
	e.OpenItems, e.Tags, e.Restrictions, e.MeterChanges = open.items, open.tags, open.restrictions, open.changes
	return e
}
