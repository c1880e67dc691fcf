package archive

import (
	"context"
	"fmt"
	"slices"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// What is done about a visit that was not accepted.
type What string

// The four dispositions.
const (
	Repeat       What = "repeat"         // the visit is made again
	Correct      What = "correct"        // the record is corrected
	Concede      What = "concede"        // it stands by a concession
	AcceptAsLost What = "accept-as-lost" // what is missing cannot be had any more
)

// Whats lists the dispositions.
func Whats() []What { return []What{Repeat, Correct, Concede, AcceptAsLost} }

// A Decision says who decided, on what day and why. All of it is needed.
type Decision struct {
	By, On, Reason string // role id; year-month-day; a sentence
}

// Dispose adds what is done about a visit whose latest verdict is rejected or
// incomplete. A later disposition takes the place of an earlier one; both stay.
func (a *Archive) Dispose(ctx context.Context, visit string, what What, d Decision) (Added, error) {
	var added Added
	err := a.Do(ctx, func(b *Batch) error {
		v, err := visitOf(ctx, b.tx, visit)
		if err != nil {
			return err
		}
		if len(v.Entries) == 0 {
			return unknown(visit)
		}
		if !slices.Contains(Whats(), what) {
			return refuse(visit, "it is one of repeat, correct, concede, accept-as-lost", "%q is no disposition", what)
		}
		judged, ok := v.Verdict()
		if !ok {
			return refuse(visit, "judge it first", "the version that stands, %s, has no verdict", v.Standing().Record)
		}
		if judged.Acceptance == verdict.Accepted {
			return refuse(visit, "leave it as it is", "it is accepted, and there is nothing to decide")
		}
		if err := decided(visit, d.By, d.On, d.Reason); err != nil {
			return err
		}
		added.Entry = Entry{Kind: Disposition, Visit: visit, Record: judged.Record, Verdict: judged.Verdict,
			What: what, By: d.By, On: d.On, Reason: d.Reason}
		added.Entry.Index, err = b.append(added.Entry)
		return err
	})
	return added, err
}

// Redact takes away the bytes of all versions and verdicts of a visit. The
// entries stay, with their hashes, and the redaction says who decided and why.
// Concessions stay: they may be of other visits too. It cannot be undone.
func (a *Archive) Redact(ctx context.Context, visit string, d Decision) (Added, error) {
	var added Added
	err := a.Do(ctx, func(b *Batch) error {
		v, err := visitOf(ctx, b.tx, visit)
		if err != nil {
			return err
		}
		if len(v.Entries) == 0 {
			return unknown(visit)
		}
		if was, ok := v.Redacted(); ok {
			added = Added{Entry: was, Already: true}
			return nil
		}
		if err := decided(visit, d.By, d.On, d.Reason); err != nil {
			return err
		}
		e := Entry{Kind: Redaction, Visit: visit, By: d.By, On: d.On, Reason: d.Reason}
		for _, of := range v.Entries {
			switch {
			case of.version():
				e.Removed = append(e.Removed, of.Record)
			case of.judgement():
				e.Removed = append(e.Removed, of.Verdict)
			}
		}
		for _, digest := range e.Removed {
			if _, err := b.tx.ExecContext(ctx, "DELETE FROM content WHERE digest = ?", digest); err != nil {
				return fmt.Errorf("taking away %s: %w", digest, err)
			}
		}
		e.Index, err = b.append(e)
		added.Entry = e
		return err
	})
	return added, err
}

func unknown(visit string) error {
	return refuse(visit, "look for a slip in the id; list shows the visits there are", "there is no such visit in the archive")
}
