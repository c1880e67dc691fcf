package archive

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Exported counts what an export wrote.
type Exported struct {
	Entries, Records, Verdicts, Concessions int
	// Redacted is how many files there are not, because their bytes were redacted.
	Redacted int
}

// Export writes all that the archive holds into a folder that is there and empty,
// in forms that need no program of ours to be read: entries.jsonl, one leaf a line
// in order, and, each byte for byte in a file that is called by the index of the
// entry that adds it, records/, verdicts/ and concessions/. Leaves hash to the tree
// of RFC 9162; the checkpoint of it is checkpoint.txt.
func (a *Archive) Export(ctx context.Context, dir string) (Exported, error) {
	x := &export{archive: a, dir: dir, done: map[string]bool{}}
	err := x.write(ctx)
	if err != nil {
		err = fmt.Errorf("exporting archive %s: %w", a.path, err)
	}
	return x.Exported, err
}

type export struct {
	Exported
	archive *Archive
	dir     string
	done    map[string]bool // concessions written, by digest
}

func (x *export) write(ctx context.Context) (err error) {
	text, c, err := x.archive.Checkpoint(ctx, "")
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(x.dir, "checkpoint.txt"), text, 0o666); err != nil {
		return err
	}
	for _, sub := range []string{"records", "verdicts", "concessions"} {
		if err := os.Mkdir(filepath.Join(x.dir, sub), 0o777); err != nil {
			return err
		}
	}
	f, err := os.Create(filepath.Join(x.dir, "entries.jsonl"))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	out := bufio.NewWriter(f)
	for next := int64(0); next < c.Size; {
		entries, err := entriesFrom(ctx, x.archive.db, next, c.Size)
		if err != nil {
			return err
		}
		if len(entries) == 0 {
			return fmt.Errorf("entry %d is missing\nhave the archive verified", next)
		}
		for _, e := range entries {
			if e.Index != next {
				return fmt.Errorf("entry %d is missing\nhave the archive verified", next)
			}
			next++
			leaf, err := verdict.Canonical(e)
			if err != nil {
				return err
			}
			if _, err := out.Write(append(leaf, '\n')); err != nil {
				return err
			}
			if err := x.files(ctx, e); err != nil {
				return err
			}
			x.Entries++
		}
	}
	return out.Flush()
}

// files writes the bytes that an entry names.
func (x *export) files(ctx context.Context, e Entry) error {
	switch {
	case e.version():
		return x.file(ctx, "records", fmt.Sprintf("%07d.json", e.Index), e.Record, &x.Records)
	case e.judgement():
		if err := x.file(ctx, "verdicts", fmt.Sprintf("%07d.json", e.Index), e.Verdict, &x.Verdicts); err != nil {
			return err
		}
		for i, digest := range e.Concessions {
			if x.done[digest] {
				continue
			}
			x.done[digest] = true
			if err := x.file(ctx, "concessions", fmt.Sprintf("%07d-%d.json", e.Index, i), digest, &x.Concessions); err != nil {
				return err
			}
		}
	}
	return nil
}

func (x *export) file(ctx context.Context, sub, name, digest string, count *int) error {
	data, err := x.archive.Bytes(ctx, digest)
	if errors.Is(err, errGone) {
		x.Redacted++ // verify tells of what is gone without a redaction
		return nil
	}
	if err != nil {
		return err
	}
	*count++
	return os.WriteFile(filepath.Join(x.dir, sub, name), data, 0o666)
}

// entriesFrom reads entries in order, a page at a time, up to end (exclusive).
func entriesFrom(ctx context.Context, q querier, from, end int64) ([]Entry, error) {
	rows, err := q.QueryContext(ctx, "SELECT seq, leaf FROM entries WHERE seq >= ? AND seq < ? ORDER BY seq LIMIT ?", from, end, page)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []Entry
	for rows.Next() {
		var seq int64
		var leaf []byte
		if err := rows.Scan(&seq, &leaf); err != nil {
			return nil, err
		}
		e, err := decodeEntry(seq, leaf)
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, rows.Err()
}
