package archive

import (
	"context"
	"fmt"
	"regexp"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/schema"
)

// A Receipt says how a visit came in.
type Receipt struct {
	// Received is when it was handed in (RFC 3339); empty if nobody said.
	Received string
	// Correction is there where the visit is another version of one that is in the
	// archive.
	Correction *Change
}

// A Change says what version of a visit is corrected, by whom and why. All of it
// is needed.
type Change struct {
	// Corrects is the digest of the version that stands until now.
	Corrects string
	// By is the role id of who decided; On the day (year-month-day).
	By, On string
	// Reason says what was wrong, Evidence what shows it.
	Reason, Evidence string
}

// Added says what came of handing something in.
type Added struct {
	// Entry is the one that was added, or that was there already.
	Entry Entry
	// Already is true where the same bytes were there and nothing was changed.
	Already bool
}

// Add archives a visit by itself: see [Batch.Add].
func (a *Archive) Add(ctx context.Context, rec *record.Record, r Receipt) (Added, error) {
	var added Added
	err := a.Do(ctx, func(b *Batch) (err error) {
		added, err = b.Add(rec, r)
		return err
	})
	return added, err
}

// Add archives a visit byte for byte. The same bytes handed in again change
// nothing. Other bytes under the id of a visit that is there are a correction and
// refused without one; both versions stay, and the later one stands. A version
// that once stood and was corrected is refused, and so is any version of a visit
// that was redacted.
func (b *Batch) Add(rec *record.Record, r Receipt) (Added, error) {
	v, err := visitOf(b.ctx, b.tx, rec.ID())
	if err != nil {
		return Added{}, err
	}
	e, err := v.next(rec, r)
	if err != nil {
		return Added{}, err
	}
	if e.Kind == "" {
		return Added{Entry: v.Standing(), Already: true}, nil
	}
	d := described(rec)
	d.Kind, d.Received = e.Kind, r.Received
	d.Corrects, d.By, d.On, d.Reason, d.Evidence = e.Corrects, e.By, e.On, e.Reason, e.Evidence
	d.Index, err = b.append(d, rec.Raw())
	return Added{Entry: d}, err
}

// described is an entry with what a version of a visit says of itself.
func described(rec *record.Record) Entry {
	e := Entry{Visit: rec.ID(), Record: rec.Digest(), Serial: rec.Serial(), Class: rec.Class()}
	e.Site, _ = rec.Text("/site/id")
	e.Started, _ = rec.Text("/started")
	e.Ended, _ = rec.Text("/ended")
	return e
}

// Fits tells whether a record could be added, without adding it; the error is a
// [*Refusal] where it could not. Already is true where the same bytes are there.
// The visit is what the archive has under its id, which may be nothing.
func (a *Archive) Fits(ctx context.Context, rec *record.Record, r Receipt) (v Visit, already bool, err error) {
	if v, err = visitOf(ctx, a.db, rec.ID()); err != nil {
		return v, false, a.failed("reading", err)
	}
	e, err := v.next(rec, r)
	return v, err == nil && e.Kind == "", err
}

// next is the entry that a record makes, with what is known of it without looking
// into it; one of no kind where the same bytes are there.
func (v Visit) next(rec *record.Record, r Receipt) (Entry, error) {
	id, digest := rec.ID(), rec.Digest()
	if r.Received != "" {
		if _, err := schema.ParseDateTime(r.Received); err != nil {
			return Entry{}, refuse(id, "write it as 2026-05-04T17:00:00+02:00", "the time it was received, %q, %v", r.Received, err)
		}
	}
	if redaction, ok := v.Redacted(); ok {
		return Entry{}, refuse(id, "hand in nothing that was taken out for a reason; a new visit has an id of its own",
			"it was redacted on %s by %s: %s", redaction.On, redaction.By, redaction.Reason)
	}
	if len(v.Entries) == 0 {
		if r.Correction != nil {
			return Entry{}, refuse(id, "leave the correction out, or look for a slip in the id", "there is no such visit to correct")
		}
		return Entry{Kind: VisitAdded}, nil
	}
	standing := v.Standing()
	if standing.Record == digest {
		return Entry{}, nil
	}
	for _, e := range v.Entries {
		if e.version() && e.Record == digest {
			return Entry{}, refuse(id, "hand in the version that is right, as a correction with bytes of its own",
				"it is entry %d, which was corrected since; %s stands", e.Index, standing.Record)
		}
	}
	c := r.Correction
	if c == nil {
		return Entry{}, refuse(id, fmt.Sprintf("if it is a correction, hand it in as one that corrects %s; if it is another visit, give it its own id", standing.Record),
			"another record with this id is entry %d, and its bytes differ", standing.Index)
	}
	if c.Corrects != standing.Record {
		return Entry{}, refuse(id, "look at that version first, and correct it if it is still wrong",
			"the correction is of %q, and what stands is %s", c.Corrects, standing.Record)
	}
	if err := decided(id, c.By, c.On, c.Reason); err != nil {
		return Entry{}, err
	}
	if c.Evidence == "" {
		return Entry{}, refuse(id, "say what shows that the correction is right, a photo or a sheet say", "the correction names no evidence")
	}
	return Entry{Kind: Correction, Corrects: c.Corrects, By: c.By, On: c.On, Reason: c.Reason, Evidence: c.Evidence}, nil
}

// roleID is what people are called in records.
var roleID = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._/+-]{0,63}$`)

// decided refuses a decision that does not say by whom, when and why.
func decided(visit, by, on, reason string) error {
	if !roleID.MatchString(by) {
		return refuse(visit, "give the role id of who decided, lead-02 say, and no name", "who decided it, %q, is no role id", by)
	}
	if _, err := schema.ParseDate(on); err != nil {
		return refuse(visit, "give the day as 2026-05-04", "the day it was decided, %q, %v", on, err)
	}
	if reason == "" {
		return refuse(visit, "say why", "no reason is given")
	}
	return nil
}
