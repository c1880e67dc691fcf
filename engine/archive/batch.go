package archive

import (
	"bytes"
	"compress/zlib"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"

	"golang.org/x/mod/sumdb/tlog"

	"github.com/visitgauge/visitgauge/engine/record"
)

// A Batch is additions that are made together or not at all. It is for one
// goroutine, within the function that [Archive.Do] calls.
type Batch struct {
	ctx context.Context
	tx  *sql.Tx
}

// Do makes all additions of a function, or none where it or the archive returns
// an error. When Do returns nil they are on the disk. An error of type [*Refusal]
// is about what was to be added, any other about the archive. The function must
// use nothing of the archive but the batch: all else waits until it is done.
func (a *Archive) Do(ctx context.Context, add func(*Batch) error) error {
	tx, err := a.db.BeginTx(ctx, nil)
	if err != nil {
		return a.failed("writing", err)
	}
	defer func() { _ = tx.Rollback() }() // does nothing after Commit
	if err := add(&Batch{ctx: ctx, tx: tx}); err != nil {
		return a.failed("writing", err)
	}
	return a.failed("writing", tx.Commit())
}

// append adds an entry, its hashes and the bytes it names, and returns its index.
func (b *Batch) append(e Entry, contents ...[]byte) (int64, error) {
	e.Schema = EntrySchema
	for _, data := range contents {
		if err := b.keep(data); err != nil {
			return 0, err
		}
	}
	leaf, err := e.Leaf()
	if err != nil {
		return 0, err
	}
	n, err := size(b.ctx, b.tx)
	if err != nil {
		return 0, err
	}
	hashes, err := tlog.StoredHashes(n, leaf, stored(b.ctx, b.tx))
	if err != nil {
		return 0, err
	}
	if _, err := b.tx.ExecContext(b.ctx, "INSERT INTO entries (seq, kind, visit, serial, leaf) VALUES (?, ?, ?, ?, ?)",
		n, string(e.Kind), e.Visit, e.Serial, leaf); err != nil {
		return 0, err
	}
	first := tlog.StoredHashIndex(0, n)
	for i, hash := range hashes {
		if _, err := b.tx.ExecContext(b.ctx, "INSERT INTO hashes (idx, hash) VALUES (?, ?)", first+int64(i), hash[:]); err != nil {
			return 0, err
		}
	}
	return n, nil
}

// keep stores bytes under their digest. Those that are there already stay.
func (b *Batch) keep(data []byte) error {
	var packed bytes.Buffer
	w := zlib.NewWriter(&packed)
	if _, err := w.Write(data); err != nil {
		return err
	}
	if err := w.Close(); err != nil {
		return err
	}
	_, err := b.tx.ExecContext(b.ctx, "INSERT INTO content (digest, size, packed) VALUES (?, ?, ?) ON CONFLICT DO NOTHING",
		record.Digest(data), len(data), packed.Bytes())
	return err
}

// errGone says that there are no bytes of a digest.
var errGone = errors.New("its bytes are not there")

// fetch reads the bytes of a digest. That they are those of the digest is for the
// caller to see.
func fetch(ctx context.Context, q querier, digest string) ([]byte, error) {
	var size int64
	var packed []byte
	err := q.QueryRowContext(ctx, "SELECT size, packed FROM content WHERE digest = ?", digest).Scan(&size, &packed)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, errGone
	}
	if err != nil {
		return nil, err
	}
	return unpack(size, packed)
}

// unpack undoes the packing. Bytes that someone else put there may claim to be
// larger than memory: no more is read than what their size says, and one.
func unpack(size int64, packed []byte) ([]byte, error) {
	r, err := zlib.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, fmt.Errorf("unpacking: %w", err)
	}
	data, err := io.ReadAll(io.LimitReader(r, size+1))
	if err != nil {
		return nil, fmt.Errorf("unpacking: %w", err)
	}
	if int64(len(data)) != size {
		return nil, fmt.Errorf("unpacking: %d bytes are there, not %d", len(data), size)
	}
	return data, nil
}
