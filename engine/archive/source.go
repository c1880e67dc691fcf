package archive

import (
	"context"
	"fmt"
	"iter"
	"slices"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/record"
)

// A Source is where visits are read from. It may be used by several goroutines at
// once.
type Source interface {
	// Visits yields the visits that pass a filter, in the order in which they were
	// first handed in. An error is the last thing yielded.
	Visits(ctx context.Context, f Filter) iter.Seq2[Visit, error]
	// Machine reads all visits of one machine, by when they ended; redacted ones
	// are among them.
	Machine(ctx context.Context, serial string) ([]Visit, error)
	// Bytes reads what an entry names by its digest.
	Bytes(ctx context.Context, digest string) ([]byte, error)
}

var _ Source = (*Archive)(nil)
var _ Source = (*Folder)(nil)

// A Machine is the visits of one machine with their records, so that each can be
// compared with those before it. It holds all of them; the methods that read may
// be called by several goroutines at once.
type Machine struct {
	// Visits are by when they ended.
	Visits []Visit

	records map[string]*record.Record // by visit id; none where redacted
}

// LoadMachine reads the visits of a machine in the version that stands. The
// decoder must accept what it accepted when they were handed in.
func LoadMachine(ctx context.Context, from Source, decoder *record.Decoder, serial string) (*Machine, error) {
	visits, err := from.Machine(ctx, serial)
	if err != nil {
		return nil, err
	}
	m := &Machine{Visits: visits, records: map[string]*record.Record{}}
	for _, v := range visits {
		if _, gone := v.Redacted(); gone {
			continue
		}
		rec, err := Load(ctx, from, decoder, v)
		if err != nil {
			return nil, err
		}
		m.records[v.ID] = rec
	}
	return m, nil
}

// Load reads the record of a visit in the version that stands.
func Load(ctx context.Context, from Source, decoder *record.Decoder, v Visit) (*record.Record, error) {
	data, err := from.Bytes(ctx, v.Standing().Record)
	if err != nil {
		return nil, err
	}
	rec, err := decoder.Decode("visit "+v.ID, 1, data)
	if err != nil {
		return nil, fmt.Errorf("decoding archived visit %q: %w", v.ID, err)
	}
	return rec, nil
}

// Record is the record of a visit of the machine, or nil where it has none or the
// visit was redacted.
func (m *Machine) Record(visit string) *record.Record { return m.records[visit] }

// Earlier is what a record is compared with: see [history.Choose]. Redacted names
// the visits that would have counted and could not, because they were redacted.
func (m *Machine) Earlier(rec *record.Record) (e history.Earlier, redacted []string) {
	records := make([]*record.Record, 0, len(m.records))
	for _, r := range m.records {
		records = append(records, r)
	}
	for _, v := range m.Visits {
		if _, gone := v.Redacted(); gone && v.ID != rec.ID() && !instant(v.Standing().Ended).After(rec.Started()) {
			redacted = append(redacted, v.ID)
		}
	}
	slices.Sort(redacted)
	return history.Choose(rec, records), redacted
}

// Put makes a record that is not archived yet one of the machine's, in the place
// of another version of the same visit. Visits keeps what is archived.
func (m *Machine) Put(rec *record.Record) { m.records[rec.ID()] = rec }

// Drop takes a visit away from what others are compared with, as when a correction
// says that it was of another machine.
func (m *Machine) Drop(visit string) { delete(m.records, visit) }
