package archive

import (
	"context"
	"fmt"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// A Judgement is a verdict with what must be known to reach it again.
type Judgement struct {
	Verdict *verdict.Verdict
	// Concessions are the documents that the visit was judged with, each as bytes.
	Concessions [][]byte
	// Compared is the digest of what the record was compared with, as [Compared]
	// gives it; empty where that is not known.
	Compared string
	// Why says why a version that has a verdict was judged again. Without it a
	// second verdict that differs is refused.
	Why string
}

// AddVerdict archives a verdict by itself: see [Batch.AddVerdict].
func (a *Archive) AddVerdict(ctx context.Context, j Judgement) (Added, error) {
	var added Added
	err := a.Do(ctx, func(b *Batch) (err error) {
		added, err = b.AddVerdict(j)
		return err
	})
	return added, err
}

// AddVerdict archives the verdict of a version of a visit that is there, in
// canonical form. The same verdict again changes nothing. One that differs from
// the latest of the same version stands beside it and follows it.
func (b *Batch) AddVerdict(j Judgement) (Added, error) {
	id, of := j.Verdict.Visit.ID, j.Verdict.Visit.Digest
	data, err := verdict.Encode(j.Verdict)
	if err != nil {
		return Added{}, err
	}
	v, err := visitOf(b.ctx, b.tx, id)
	if err != nil {
		return Added{}, err
	}
	if redaction, ok := v.Redacted(); ok {
		return Added{}, refuse(id, "keep no verdict of it", "it was redacted on %s by %s: %s", redaction.On, redaction.By, redaction.Reason)
	}
	known := false
	var latest Entry
	for _, e := range v.Entries {
		known = known || e.version() && e.Record == of
		if e.judgement() && e.Record == of {
			latest = e
		}
	}
	if !known {
		return Added{}, refuse(id, "archive the record first, byte for byte as it was judged", "the verdict is of %s, which is not in the archive", of)
	}
	e := Entry{
		Kind: Judged, Visit: id, Record: of,
		Verdict: record.Digest(data), Release: &verdict.Release{Version: j.Verdict.Release.Version, Digest: j.Verdict.Release.Digest},
		Acceptance: j.Verdict.Acceptance.Value, Serviceability: j.Verdict.Serviceability, Compared: j.Compared,
	}
	contents := [][]byte{data}
	for _, c := range j.Concessions {
		e.Concessions = append(e.Concessions, record.Digest(c))
		contents = append(contents, c)
	}
	if latest.Kind != "" {
		if latest.Verdict == e.Verdict {
			return Added{Entry: latest, Already: true}, nil
		}
		if j.Why == "" {
			return Added{}, refuse(id, "say why it was judged again", "it has a verdict, entry %d, and this one differs", latest.Index)
		}
		e.Kind, e.Follows, e.Reason = Rejudged, latest.Verdict, j.Why
	}
	e.Index, err = b.append(e, contents...)
	return Added{Entry: e}, err
}

// Compared is a digest of what a record is compared with. Two are the same where
// the rules see the same: earlier visits are taken by their digests, and what they
// left open as it is.
func Compared(e history.Earlier) (string, error) {
	v := e.Value()
	for _, slot := range []string{"last_visit", "meters", "battery", "last_services"} {
		delete(v, slot)
	}
	var slots []any
	for _, s := range e.Slots() {
		slots = append(slots, []any{s.Name, s.Level, s.Visit.Digest()})
	}
	v["visits"] = slots
	data, err := verdict.Canonical(v)
	if err != nil {
		return "", fmt.Errorf("naming what a visit is compared with: %w", err)
	}
	return record.Digest(data), nil
}
