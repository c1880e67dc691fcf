// Package history keeps, for each machine, what a visit is compared with: the
// latest earlier visits that hold readings, and what earlier visits left open.
//
// Start at [Tracker], where visits come one after the other: ask it for
// [Tracker.Earlier] of a record, then [Tracker.Add] the record. Where all visits of
// the machine are at hand, [Choose] needs no order. Visits are chosen by time alone, by nothing that a release decides,
// so the same visits give the same comparison under every release.
//
// # What is kept
//
// Memory grows with the number of machines, never with the number of visits. For
// each machine the tracker keeps its four latest visits, the latest completed
// service of each level, the latest visit with a meter read, the latest with a
// battery reading, what is open (items, tags and restrictions) and the meters
// replaced, at most [MaxOpen] of each. A visit may be handed in late: as long as
// it is among the machine's four latest, the result is the same as if it had come
// in order. Later than that,
//
//   - it is itself compared with those kept visits that ended before it started,
//     which may be none;
//   - the items that it raises and the tags that it places count as open unless a
//     kept visit answers them, because answers of visits no longer kept cannot be
//     looked up; nothing that was left open is lost.
//
// The package judges nothing and reads no file.
package history

import (
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/record"
)

// recent is how many of a machine's latest visits are kept whole.
const recent = 4

// Tracker keeps what visits are compared with. The zero value is ready for use.
// It is not safe for use by several goroutines at once: the order in which
// records are added decides what is still kept.
type Tracker struct {
	machines map[string]*machine
}

// machine is what is kept of one machine.
type machine struct {
	kept     []*record.Record // at most recent, in order of compare
	before   standing         // what stood before the oldest kept visit
	services map[string]*record.Record
	meters   *record.Record
	battery  *record.Record
}

// Add makes a record part of its machine's history. A record with the id of one
// that is still kept takes its place.
func (t *Tracker) Add(rec *record.Record) {
	if t.machines == nil {
		t.machines = map[string]*machine{}
	}
	m := t.machines[rec.Serial()]
	if m == nil {
		m = &machine{}
		t.machines[rec.Serial()] = m
	}
	m.forget(rec.ID())
	at, _ := slices.BinarySearchFunc(m.kept, rec, compare)
	m.kept = slices.Insert(m.kept, at, rec)
	if len(m.kept) > recent {
		oldest := m.kept[0]
		m.kept = slices.Delete(m.kept, 0, 1)
		m.before = m.before.after(oldest)
		m.hold(oldest)
	}
}

// forget removes an earlier version of a visit that is handed in again.
func (m *machine) forget(id string) {
	same := func(r *record.Record) bool { return r != nil && r.ID() == id }
	m.kept = slices.DeleteFunc(m.kept, same)
	for level, r := range m.services {
		if same(r) {
			delete(m.services, level)
		}
	}
	if same(m.meters) {
		m.meters = nil
	}
	if same(m.battery) {
		m.battery = nil
	}
}

// hold keeps a visit that is no longer among the recent ones in the slots for
// which it is the latest.
func (m *machine) hold(rec *record.Record) {
	if level, ok := completedService(rec); ok {
		if m.services == nil {
			m.services = map[string]*record.Record{}
		}
		m.services[level] = later(m.services[level], rec)
	}
	if metersRead(rec) {
		m.meters = later(m.meters, rec)
	}
	if batteryRead(rec) {
		m.battery = later(m.battery, rec)
	}
}

// Earlier is what a record is compared with: visits of its machine that ended
// no later than it started. The record need not have been added; if it was, it is
// not compared with itself.
func (t *Tracker) Earlier(rec *record.Record) Earlier {
	m := t.machines[rec.Serial()]
	if m == nil {
		return Earlier{}
	}
	var c choice
	look := func(r *record.Record) {
		if precedes(r, rec) {
			c.look(r)
		}
	}
	for _, r := range m.kept {
		look(r)
	}
	for _, r := range m.services {
		look(r)
	}
	look(m.meters)
	look(m.battery)
	open := m.before.asOf(rec.Started())
	for _, r := range m.kept {
		if precedes(r, rec) {
			open = open.after(r)
		}
	}
	return c.earlier(open)
}

// later is the later of two visits; one may be nil.
func later(a, b *record.Record) *record.Record {
	if a == nil || b != nil && compare(a, b) < 0 {
		return b
	}
	return a
}

// compare orders the visits of one machine by when they ended, then by when they
// started, then by id, so that the order in which they were handed in plays no
// part.
func compare(a, b *record.Record) int {
	if c := a.Ended().Compare(b.Ended()); c != 0 {
		return c
	}
	if c := a.Started().Compare(b.Started()); c != 0 {
		return c
	}
	return strings.Compare(a.ID(), b.ID())
}

// completedService tells the level of a completed service.
func completedService(rec *record.Record) (level string, ok bool) {
	if rec.Kind() != "service" || rec.EndedAs() != "completed" || rec.Level() == "none" {
		return "", false
	}
	return rec.Level(), true
}

// metersRead reports whether at least one meter was read as found.
func metersRead(rec *record.Record) bool {
	for _, m := range objects(rec.Value(), "meters") {
		if has(m, "reading", "as_found") {
			return true
		}
	}
	return false
}

// batteryRead reports whether at least one cell's gravity was read as found, or
// one block's voltage.
func batteryRead(rec *record.Record) bool {
	battery := object(rec.Value(), "battery")
	for _, c := range objects(battery, "cells") {
		if has(c, "gravity", "as_found") {
			return true
		}
	}
	for _, b := range objects(battery, "blocks") {
		if has(b, "voltage", "as_found") {
			return true
		}
	}
	return false
}
