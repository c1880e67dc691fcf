package archive

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"github.com/visitgauge/visitgauge/engine/record"
)

// bytes holds the bytes against their digests, and all of them against the
// entries that name them.
func (v *verifier) bytes(ctx context.Context) error {
	there := map[string]bool{}
	for after := ""; ; {
		n, last, err := v.bytesAfter(ctx, after, there)
		if err != nil {
			return err
		}
		if n == 0 {
			break
		}
		after = last
	}
	for _, r := range v.rows {
		for _, digest := range r.entry.digests() {
			switch gone := v.removed[digest]; {
			case there[digest] && gone:
				v.found(r.seq, r.entry.Visit, "%s was redacted, and its bytes are there again", named(r.entry))
			case !there[digest] && !gone:
				redacted, err := v.sinceRedacted(ctx, r.entry.Visit, digest)
				if err != nil {
					return err
				}
				if !redacted {
					v.found(r.seq, r.entry.Visit, "the bytes of %s were removed, by no redaction", named(r.entry))
				}
			}
		}
	}
	return nil
}

// sinceRedacted tells whether bytes were taken away by a redaction that came
// after the entries were read.
func (v *verifier) sinceRedacted(ctx context.Context, visit, digest string) (bool, error) {
	now, err := visitOf(ctx, v.archive.db, visit)
	if err != nil {
		return false, nil // what cannot be read was told of before
	}
	redaction, ok := now.Redacted()
	return ok && slices.Contains(redaction.Removed, digest), nil
}

func (v *verifier) bytesAfter(ctx context.Context, after string, there map[string]bool) (n int, last string, err error) {
	rows, err := v.archive.db.QueryContext(ctx,
		"SELECT digest, size, packed FROM content WHERE digest > ? ORDER BY digest LIMIT 64", after)
	if err != nil {
		return 0, "", err
	}
	defer rows.Close()
	for ; rows.Next(); n++ {
		var size int64
		var packed []byte
		if err := rows.Scan(&last, &size, &packed); err != nil {
			return n, last, err
		}
		there[last] = true
		data, err := unpack(size, packed)
		at, isNamed := v.named[last]
		switch {
		case !isNamed:
			v.orphan(data)
		case err != nil || record.Digest(data) != last:
			r := v.rows[at]
			v.found(r.seq, r.entry.Visit, "the bytes of %s were changed", named(r.entry))
		}
	}
	return n, last, rows.Err()
}

// orphan tells of bytes that no entry names, and whose they are as far as they
// say so themselves.
func (v *verifier) orphan(data []byte) {
	var says struct {
		Schema string
		ID     string
		Visit  json.RawMessage
	}
	whose, visit := "", ""
	if json.Unmarshal(data, &says) == nil {
		visit, whose = says.ID, "a record"
		var of struct{ ID string }
		if json.Unmarshal(says.Visit, &of) == nil && of.ID != "" {
			visit, whose = of.ID, "a verdict"
		}
	}
	if visit == "" {
		v.found(-1, "", "bytes lie there that no entry names")
		return
	}
	v.found(-1, visit, "%s", fmt.Sprintf("%s of visit %q lies there, and no entry names it", whose, visit))
}

// links demands of each verdict and correction that the archive has what it is of.
func (v *verifier) links(context.Context) error {
	for _, r := range v.rows {
		e := r.entry
		if e.judgement() && e.Record != "" && !v.added[e.Record] {
			v.found(r.seq, e.Visit, "%s is of a record that no entry adds", named(e))
		}
		if e.Kind == Correction && e.Corrects != "" && !v.added[e.Corrects] {
			v.found(r.seq, e.Visit, "%s is of a version that no entry adds", named(e))
		}
	}
	return nil
}
