package archive

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"
	"slices"
	"strings"
	"time"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/schema"
)

// A Visit is all that the archive has of one visit, save the bytes.
type Visit struct {
	ID string
	// Entries are in the order in which they were added. The first is of kind
	// [VisitAdded].
	Entries []Entry
}

// Standing is the entry of the version that stands: the latest correction, or the
// visit as first handed in. It is the zero entry where there is no visit.
func (v Visit) Standing() Entry {
	e, _ := v.last(Entry.version)
	return e
}

// Verdict is the entry of the latest verdict of the version that stands, or false
// where it was not judged.
func (v Visit) Verdict() (Entry, bool) {
	standing := v.Standing().Record
	return v.last(func(e Entry) bool { return e.judgement() && e.Record == standing })
}

// Disposition is the latest one about the version that stands, or false.
func (v Visit) Disposition() (Entry, bool) {
	standing := v.Standing().Record
	return v.last(func(e Entry) bool { return e.Kind == Disposition && e.Record == standing })
}

// Redacted is the redaction of the visit, or false.
func (v Visit) Redacted() (Entry, bool) {
	return v.last(func(e Entry) bool { return e.Kind == Redaction })
}

// Names tells whether an entry of the visit names the bytes of a digest.
func (v Visit) Names(digest string) bool {
	return slices.ContainsFunc(v.Entries, func(e Entry) bool { return slices.Contains(e.digests(), digest) })
}

func (v Visit) last(fits func(Entry) bool) (Entry, bool) {
	for _, e := range slices.Backward(v.Entries) {
		if fits(e) {
			return e, true
		}
	}
	return Entry{}, false
}

// A Filter chooses visits by the version that stands. A field that is empty lets
// all pass; of a list one word must fit.
type Filter struct {
	// From and To are local days (year-month-day), both inclusive, on which the
	// visit started.
	From, To string
	// Sites, Serials and Classes are ids, of the machine where it matters.
	Sites, Serials, Classes []string
	// Releases are versions; one of them gave the latest verdict.
	Releases []string
}

// Fits tells whether a visit passes.
func (f Filter) Fits(v Visit) bool {
	e := v.Standing()
	day := e.Day()
	among := func(words []string, word string) bool { return len(words) == 0 || slices.Contains(words, word) }
	if f.From != "" && day < f.From || f.To != "" && day > f.To ||
		!among(f.Sites, e.Site) || !among(f.Serials, e.Serial) || !among(f.Classes, e.Class) {
		return false
	}
	if len(f.Releases) == 0 {
		return true
	}
	judged, ok := v.Verdict()
	return ok && judged.Release != nil && slices.Contains(f.Releases, judged.Release.Version)
}

// page is how many visits are read at a time. Between two pages nothing is held,
// so that others can write.
const page = 256

// Visits yields the visits that pass a filter, in the order in which they were
// first handed in, as the archive was when the first was asked for, save for what
// was redacted since. An error is the last thing yielded.
func (a *Archive) Visits(ctx context.Context, f Filter) iter.Seq2[Visit, error] {
	return func(yield func(Visit, error) bool) {
		end, err := size(ctx, a.db)
		if err != nil {
			yield(Visit{}, a.failed("reading", err))
			return
		}
		for after := int64(-1); ; {
			visits, err := visitsWhere(ctx, a.db,
				"seq < ?3 AND visit IN (SELECT visit FROM entries WHERE kind = 'visit' AND seq > ?1 AND seq < ?3 ORDER BY seq LIMIT ?2)", after, page, end)
			if err != nil {
				yield(Visit{}, a.failed("reading", err))
				return
			}
			for _, v := range visits {
				after = v.Entries[0].Index
				if f.Fits(v) && !yield(v, nil) {
					return
				}
			}
			if len(visits) < page {
				return
			}
		}
	}
}

// Visit reads one visit. An id that is not there is a [*Refusal].
func (a *Archive) Visit(ctx context.Context, id string) (Visit, error) {
	v, err := visitOf(ctx, a.db, id)
	if err == nil && len(v.Entries) == 0 {
		err = unknown(id)
	}
	return v, a.failed("reading", err)
}

// Machine reads the visits that in the version that stands are of the machine with
// a serial number, by when they ended. Those that were redacted are among them.
func (a *Archive) Machine(ctx context.Context, serial string) ([]Visit, error) {
	visits, err := visitsWhere(ctx, a.db, "visit IN (SELECT visit FROM entries WHERE serial = ? AND serial <> '')", serial)
	if err != nil {
		return nil, a.failed("reading", err)
	}
	visits = slices.DeleteFunc(visits, func(v Visit) bool { return v.Standing().Serial != serial })
	sortByTime(visits)
	return visits, nil
}

// Bytes reads the bytes of a digest that an entry names, and holds them against
// it. Where they were redacted, or are not there, that is an error.
func (a *Archive) Bytes(ctx context.Context, digest string) ([]byte, error) {
	data, err := fetch(ctx, a.db, digest)
	if err == nil && record.Digest(data) != digest {
		err = errors.New("its bytes are those of another\nhave the archive verified")
	}
	if err != nil {
		return nil, a.failed("reading", fmt.Errorf("%s: %w", digest, err))
	}
	return data, nil
}

// visitOf reads one visit; one without entries where it is not there.
func visitOf(ctx context.Context, q querier, id string) (Visit, error) {
	visits, err := visitsWhere(ctx, q, "visit = ?", id)
	if err != nil || len(visits) == 0 {
		return Visit{ID: id}, err
	}
	return visits[0], nil
}

// visitsWhere reads the visits of the entries that a condition chooses, in the
// order of the first of them.
func visitsWhere(ctx context.Context, q querier, condition string, args ...any) ([]Visit, error) {
	rows, err := q.QueryContext(ctx, "SELECT seq, leaf FROM entries WHERE "+condition+" ORDER BY seq", args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var visits []Visit
	at := map[string]int{}
	for rows.Next() {
		var seq int64
		var leaf sql.RawBytes
		if err := rows.Scan(&seq, &leaf); err != nil {
			return nil, err
		}
		e, err := decodeEntry(seq, leaf)
		if err != nil {
			return nil, fmt.Errorf("%w\nhave the archive verified", err)
		}
		i, ok := at[e.Visit]
		if !ok {
			i = len(visits)
			at[e.Visit] = i
			visits = append(visits, Visit{ID: e.Visit})
		}
		visits[i].Entries = append(visits[i].Entries, e)
	}
	return visits, rows.Err()
}

// sortByTime puts visits in the order in which history compares them.
func sortByTime(visits []Visit) {
	slices.SortStableFunc(visits, func(a, b Visit) int {
		x, y := a.Standing(), b.Standing()
		return cmp.Or(instant(x.Ended).Compare(instant(y.Ended)), instant(x.Started).Compare(instant(y.Started)), strings.Compare(a.ID, b.ID))
	})
}

// instant is the time that a record names. The decoder has checked it.
func instant(text string) time.Time {
	t, _ := schema.ParseDateTime(text)
	return t
}
