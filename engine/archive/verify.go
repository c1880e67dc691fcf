package archive

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"golang.org/x/mod/sumdb/tlog"
)

// Verification is what was found when an archive was held against its hashes.
type Verification struct {
	Size     int64     // entries
	Hash     tlog.Hash // head of the tree of the entries that lie there
	Visits   int       // visits handed in
	Verdicts int       // verdicts, further ones included
	// Redactions are those of the archive, in order.
	Redactions []Entry
	// Checkpoints is how many checkpoints hold.
	Checkpoints int
	// Findings are empty where the archive is as it was written.
	Findings []Finding
}

// A Finding is one thing that is not as it was written.
type Finding struct {
	// Index is of the entry in the order that was kept; -1 where it is of none.
	Index int64
	// Visit is the id of the visit it is about, as far as that can be told.
	Visit string
	// Message says in a plain sentence, without full stop, what was found.
	Message string
}

// Verify recomputes the hash of every entry, of the tree and of all bytes, and
// holds them against what is kept, and the tree against checkpoints known from
// elsewhere. What it finds is in the result; an error says that it could not look.
// Without a checkpoint it cannot see that the last entries were cut off together
// with their hashes, nor that all was written anew.
func (a *Archive) Verify(ctx context.Context, checkpoints ...Checkpoint) (Verification, error) {
	v := &verifier{archive: a, added: map[string]bool{}, named: map[string]int{}, removed: map[string]bool{}}
	for _, step := range []func(context.Context) error{v.file, v.entries, v.tree, v.bytes, v.links} {
		if err := step(ctx); err != nil {
			return v.Verification, a.failed("verifying", err)
		}
	}
	v.against(checkpoints)
	slices.SortStableFunc(v.Findings, func(a, b Finding) int { return cmp.Compare(a.Index, b.Index) })
	return v.Verification, nil
}

// verifier is one verification.
type verifier struct {
	Verification
	archive *Archive
	rows    []row
	hashes  []tlog.Hash     // of the tree of the entries that lie there
	added   map[string]bool // records that some entry adds
	named   map[string]int  // row by digest of its bytes
	removed map[string]bool // digests that some redaction took away
}

// row is one entry as it lies there.
type row struct {
	seq   int64
	hash  tlog.Hash
	entry Entry
}

func (v *verifier) found(index int64, visit, format string, args ...any) {
	v.Findings = append(v.Findings, Finding{Index: index, Visit: visit, Message: fmt.Sprintf(format, args...)})
}

// file has the database look at its own structure.
func (v *verifier) file(ctx context.Context) error {
	rows, err := v.archive.db.QueryContext(ctx, "PRAGMA quick_check(10)")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var said string
		if err := rows.Scan(&said); err != nil {
			return err
		}
		if said != "ok" {
			v.found(-1, "", "the database is damaged: %s", said)
		}
	}
	return rows.Err()
}

// entries reads all entries, in the order of their numbers.
func (v *verifier) entries(ctx context.Context) error {
	for after := int64(math.MinInt64); ; {
		n, err := v.entriesAfter(ctx, after)
		if err != nil {
			return err
		}
		if n == 0 {
			break
		}
		after = v.rows[len(v.rows)-1].seq
	}
	v.Size = int64(len(v.rows))
	return nil
}

func (v *verifier) entriesAfter(ctx context.Context, after int64) (n int, err error) {
	rows, err := v.archive.db.QueryContext(ctx,
		"SELECT seq, kind, visit, serial, leaf FROM entries WHERE seq > ? ORDER BY seq LIMIT ?", after, 4*page)
	if err != nil {
		return 0, err
	}
	defer rows.Close()
	for ; rows.Next(); n++ {
		var r row
		var kind, visit, serial string
		var leaf []byte
		if err := rows.Scan(&r.seq, &kind, &visit, &serial, &leaf); err != nil {
			return n, err
		}
		r.hash = tlog.RecordHash(leaf)
		r.entry, err = decodeEntry(r.seq, leaf)
		switch e := r.entry; {
		case err != nil:
			r.entry = Entry{Kind: Kind(kind), Visit: visit, Index: r.seq}
			v.found(r.seq, visit, "%s cannot be read", named(r.entry))
		case kind != string(e.Kind) || visit != e.Visit || serial != e.Serial:
			v.found(r.seq, e.Visit, "%s is filed as %s of visit %q, machine %q", named(e), kind, visit, serial)
		}
		v.rows = append(v.rows, r)
		v.note(len(v.rows)-1, r.entry)
	}
	return n, rows.Err()
}

// note takes an entry into account.
func (v *verifier) note(at int, e Entry) {
	switch {
	case e.version():
		v.added[e.Record] = true
	case e.judgement():
		v.Verdicts++
	case e.Kind == Redaction:
		v.Redactions = append(v.Redactions, e)
		for _, digest := range e.Removed {
			v.removed[digest] = true
		}
	}
	if e.Kind == VisitAdded {
		v.Visits++
	}
	for _, digest := range e.digests() {
		if _, twice := v.named[digest]; !twice {
			v.named[digest] = at
		}
	}
}

// named is how a finding calls an entry.
func named(e Entry) string {
	what := map[Kind]string{
		VisitAdded: "the record", Correction: "the correction", Judged: "the verdict", Rejudged: "the further verdict",
		Disposition: "the disposition", Redaction: "the redaction",
	}[e.Kind]
	if what == "" {
		what = "something"
	}
	return fmt.Sprintf("%s of visit %q", what, e.Visit)
}
