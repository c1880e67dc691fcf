package archive

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"sync"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/saved"
)

// Folder is visits read from files. It holds where each stands, reads its bytes
// again when they are wanted, and adds nothing. Its visits have no verdicts.
type Folder struct {
	visits  []Visit
	at      map[string]int   // in visits, by id
	serials map[string][]int // in visits, by serial

	mu      sync.Mutex // over records
	records saved.Records
}

// OpenFolder looks through the records of items, which stand in files. Those that
// are refused are told of and passed over, and so is another record with the id
// of one before it: which of them is right, files cannot say. The same bytes again
// change nothing. An error of refused ends it and is returned.
func OpenFolder(ctx context.Context, items iter.Seq[record.Item], decoder *record.Decoder, refused func(record.Problems) error) (*Folder, error) {
	f := &Folder{at: map[string]int{}, serials: map[string][]int{}}
	for item := range items {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		err := f.add(item, decoder)
		var problems record.Problems
		if errors.As(err, &problems) {
			err = refused(problems)
		}
		if err != nil {
			return nil, err
		}
	}
	return f, nil
}

func (f *Folder) add(item record.Item, decoder *record.Decoder) error {
	if item.Err != nil {
		return item.Err
	}
	rec, err := decoder.Decode(item.Source, item.FirstLine, item.Data)
	if err != nil {
		return err
	}
	if i, twice := f.at[rec.ID()]; twice {
		if f.visits[i].Standing().Record == rec.Digest() {
			return nil
		}
		line, column, _ := rec.Position("/id")
		return record.Problems{{
			Source: item.Source, Line: line, Column: column, Pointer: "/id",
			Message: fmt.Sprintf("another record with the id %q was read before, and its bytes differ", rec.ID()),
			Mend:    "keep the record that is right, or hand both in to an archive, the second as a correction",
		}}
	}
	if err := f.records.Add(item); err != nil {
		return err
	}
	n := len(f.visits)
	f.at[rec.ID()] = n
	f.serials[rec.Serial()] = append(f.serials[rec.Serial()], n)
	e := described(rec)
	e.Schema, e.Kind, e.Index = EntrySchema, VisitAdded, int64(n)
	f.visits = append(f.visits, Visit{ID: rec.ID(), Entries: []Entry{e}})
	return nil
}

// Visits yields the visits that pass a filter, in the order in which they were
// read.
func (f *Folder) Visits(ctx context.Context, filter Filter) iter.Seq2[Visit, error] {
	return func(yield func(Visit, error) bool) {
		for _, v := range f.visits {
			if err := ctx.Err(); err != nil {
				yield(Visit{}, err)
				return
			}
			if filter.Fits(v) && !yield(v, nil) {
				return
			}
		}
	}
}

// Machine reads the visits of the machine with a serial number, by when they
// ended.
func (f *Folder) Machine(_ context.Context, serial string) ([]Visit, error) {
	var visits []Visit
	for _, i := range f.serials[serial] {
		visits = append(visits, f.visits[i])
	}
	sortByTime(visits)
	return visits, nil
}

// Bytes reads the record of a digest again. It is an error if the file has changed
// since it was looked through.
func (f *Folder) Bytes(_ context.Context, digest string) ([]byte, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	found, ok, err := f.records.Find(digest)
	if err == nil && !ok {
		err = fmt.Errorf("reading %s: %w", digest, errGone)
	}
	return found.Data, err
}
