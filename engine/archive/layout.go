package archive

import (
	"context"
	"database/sql"
	"fmt"
)

// applicationID marks a SQLite file as an archive, in the field of its header
// that SQLite leaves to applications.
const applicationID = 0x56474152

// layouts are the steps from nothing to the newest layout. A file of layout n was
// brought there by the first n of them; a step that was ever released is never
// changed, only followed by another.
func layouts() []string {
	return []string{
		// Nothing of entries and hashes is ever changed or deleted; the triggers
		// guard against slips, the hashes against intent.
		`CREATE TABLE entries (
			seq    INTEGER PRIMARY KEY, -- index of the leaf, from 0
			kind   TEXT NOT NULL,       -- these three as in the leaf, to find it by
			visit  TEXT NOT NULL,
			serial TEXT NOT NULL,
			leaf   BLOB NOT NULL
		) STRICT;
		CREATE INDEX entries_visit  ON entries (visit, seq);
		CREATE INDEX entries_serial ON entries (serial, seq) WHERE serial <> '';
		CREATE INDEX entries_kind   ON entries (kind, seq);
		CREATE TABLE hashes (
			idx  INTEGER PRIMARY KEY, -- stored hash index of golang.org/x/mod/sumdb/tlog
			hash BLOB NOT NULL
		) STRICT;
		CREATE TABLE content (
			digest TEXT PRIMARY KEY, -- sha256: of the bytes
			size   INTEGER NOT NULL, -- bytes before packing
			packed BLOB NOT NULL     -- zlib
		) STRICT;
		CREATE TRIGGER entries_stay BEFORE UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
		CREATE TRIGGER entries_keep BEFORE DELETE ON entries BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
		CREATE TRIGGER hashes_stay  BEFORE UPDATE ON hashes  BEGIN SELECT RAISE(ABORT, 'hashes are never changed');  END;
		CREATE TRIGGER hashes_keep  BEFORE DELETE ON hashes  BEGIN SELECT RAISE(ABORT, 'hashes are never removed');  END;
		CREATE TRIGGER content_stays BEFORE UPDATE ON content BEGIN SELECT RAISE(ABORT, 'content is never changed'); END;`,
	}
}

// bring brings the file to the newest layout, in one transaction, and refuses one
// that is no archive or is newer than this program.
func (a *Archive) bring(ctx context.Context, opt Options, steps []string) error {
	id, have, tables, err := a.header(ctx)
	switch {
	case err != nil:
		return err
	case id == 0 && have == 0 && tables == 0 && !opt.Create:
		return fmt.Errorf("it is empty and no archive\nname an archive, or have one created")
	case (id != 0 || tables > 0) && id != applicationID:
		return fmt.Errorf("it is a database of something else, not an archive\nlook for a slip in the path")
	case have > len(steps):
		return fmt.Errorf("its layout is %d, and this program knows those up to %d\nuse the newer program that wrote it", have, len(steps))
	case have == len(steps):
		return nil
	case opt.ReadOnly:
		return fmt.Errorf("its layout is %d and must first be brought to %d\nopen it once for writing", have, len(steps))
	}
	tx, err := a.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }() // does nothing after Commit
	// Somebody else may have done it meanwhile.
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&have); err != nil {
		return err
	}
	for n := have; n < len(steps); n++ {
		if _, err := tx.ExecContext(ctx, steps[n]); err != nil {
			return fmt.Errorf("bringing it to layout %d: %w", n+1, err)
		}
	}
	marks := fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", applicationID, max(have, len(steps)))
	if _, err := tx.ExecContext(ctx, marks); err != nil {
		return fmt.Errorf("marking its layout: %w", err)
	}
	return tx.Commit()
}

// header reads what tells an archive from other files.
func (a *Archive) header(ctx context.Context) (id int64, layout, tables int, err error) {
	for _, ask := range []struct {
		query string
		into  any
	}{
		{"PRAGMA application_id", &id},
		{"PRAGMA user_version", &layout},
		{"SELECT count(*) FROM sqlite_schema", &tables},
	} {
		if err := a.db.QueryRowContext(ctx, ask.query).Scan(ask.into); err != nil {
			return 0, 0, 0, err
		}
	}
	return id, layout, tables, nil
}

var _ querier = (*sql.DB)(nil)
var _ querier = (*sql.Tx)(nil)

// querier is what reads: the file, or a transaction on it.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}
