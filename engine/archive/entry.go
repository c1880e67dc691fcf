package archive

import (
	"bytes"
	"encoding/json"
	"fmt"
	"time"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// EntrySchema is what [Entry.Schema] says in an entry of this package.
const EntrySchema = "archive-entry/1"

// Kind says what an entry adds.
type Kind string

// The kinds of entry.
const (
	VisitAdded  Kind = "visit"       // a visit handed in for the first time
	Correction  Kind = "correction"  // another version of a visit that is there
	Judged      Kind = "verdict"     // the first verdict of a version of a visit
	Rejudged    Kind = "rejudged"    // a further verdict of the same version
	Disposition Kind = "disposition" // what is done about a visit that was not accepted
	Redaction   Kind = "redaction"   // bytes taken away
)

// An Entry is one addition: one leaf of the tree. Its canonical JSON is what is
// hashed. It names bytes by their digests, people by role ids, and holds nothing
// else of a record that is personal, for it is never taken away. Which fields are
// set depends on the kind; the others are left out.
type Entry struct {
	Schema string `json:"schema"` // EntrySchema
	Kind   Kind   `json:"kind"`
	// Visit is the id of the visit that the entry is about.
	Visit string `json:"visit"`
	// Record is the digest of the version of the visit that the entry adds, or is
	// about.
	Record string `json:"record,omitempty"`

	// What a visit and a correction say of the record, in its own words.
	Serial  string `json:"serial,omitempty"`
	Class   string `json:"class,omitempty"`
	Site    string `json:"site,omitempty"`
	Started string `json:"started,omitempty"` // RFC 3339
	Ended   string `json:"ended,omitempty"`   // RFC 3339
	// Received is when the version was handed in (RFC 3339); empty if nobody said.
	Received string `json:"received,omitempty"`
	// Corrects is the digest of the version that a correction takes the place of.
	Corrects string `json:"corrects,omitempty"`

	// What a verdict says: the digest of its bytes, by what, and what came of it.
	Verdict        string                  `json:"verdict,omitempty"`
	Release        *verdict.Release        `json:"release,omitempty"`
	Acceptance     verdict.AcceptanceValue `json:"acceptance,omitempty"`
	Serviceability verdict.Serviceability  `json:"serviceability,omitempty"`
	// Concessions are the digests of those that the visit was judged with.
	Concessions []string `json:"concessions,omitempty"`
	// Compared is the digest of what the version was compared with: see [Compared].
	Compared string `json:"compared,omitempty"`
	// Follows is the digest of the verdict that a further one follows.
	Follows string `json:"follows,omitempty"`

	// What is one of the words of What, in a disposition.
	What What `json:"what,omitempty"`
	// Removed are the digests of the bytes that a redaction took away.
	Removed []string `json:"removed,omitempty"`

	// By is the role id of who decided, On the day (year-month-day), and Reason
	// and Evidence are in their words. A verdict judged again has a reason only.
	By       string `json:"by,omitempty"`
	On       string `json:"on,omitempty"`
	Reason   string `json:"reason,omitempty"`
	Evidence string `json:"evidence,omitempty"`

	// Index is the place in the order of additions, from 0. It is not part of the
	// leaf: the tree holds the order.
	Index int64 `json:"-"`
}

// Leaf is the entry as it is hashed: canonical JSON.
func (e Entry) Leaf() ([]byte, error) { return verdict.Canonical(e) }

// version tells whether the entry adds a version of a visit.
func (e Entry) version() bool { return e.Kind == VisitAdded || e.Kind == Correction }

// judgement tells whether the entry adds a verdict.
func (e Entry) judgement() bool { return e.Kind == Judged || e.Kind == Rejudged }

// digests are those of the bytes that lie beside the entry.
func (e Entry) digests() []string {
	switch {
	case e.version():
		return []string{e.Record}
	case e.judgement():
		return append([]string{e.Verdict}, e.Concessions...)
	}
	return nil
}

// decodeEntry reads a leaf.
func decodeEntry(index int64, leaf []byte) (Entry, error) {
	dec := json.NewDecoder(bytes.NewReader(leaf))
	dec.DisallowUnknownFields()
	e := Entry{Index: index}
	if err := dec.Decode(&e); err != nil {
		return e, fmt.Errorf("reading entry %d: %w", index, err)
	}
	if e.Schema != EntrySchema {
		return e, fmt.Errorf("reading entry %d: its schema is %q, not %q", index, e.Schema, EntrySchema)
	}
	// Others rely on these; an entry that was written here has them.
	if (e.version() || e.judgement()) && e.Record == "" || e.judgement() && (e.Verdict == "" || e.Release == nil) {
		return e, fmt.Errorf("reading entry %d: a %s of visit %q lacks what it must say", index, e.Kind, e.Visit)
	}
	return e, nil
}

// Day is the local day (year-month-day) on which the visit of an entry started, where
// it started.
func (e Entry) Day() string { return e.Started[:min(len(e.Started), len(time.DateOnly))] }
