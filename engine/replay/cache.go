package replay

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"sync"

	"modernc.org/sqlite" // the database, in pure Go
	lib "modernc.org/sqlite/lib"
)

// cacheForm is raised whenever what is kept, or what it is kept under, changes.
const cacheForm = "replay-cache/1"

// MaxCached is how many visits a cache keeps at most; past it the oldest go.
const MaxCached = 500_000

// together is how many visits are written at a time. A run that is killed loses at
// most these.
const together = 64

// Cache keeps in a file what was found for visits. It holds findings, and so is as
// confidential as the archive; it can be deleted at any time. It may be used by
// several goroutines, and by several processes, at once.
type Cache struct {
	path string
	db   *sql.DB

	mu      sync.Mutex
	pending []row
}

type row struct {
	key, record string
	value       []byte
}

// OpenCache opens a cache, or makes one. Program is the digest of the running program:
// what another one found is forgotten, for it may judge otherwise.
func OpenCache(ctx context.Context, path, program string) (*Cache, error) {
	c := &Cache{path: path}
	settings := url.Values{
		"mode": {"rwc"}, "_txlock": {"immediate"},
		"_pragma": {"busy_timeout(10000)", "journal_mode(wal)", "synchronous(normal)", "secure_delete(1)", "trusted_schema(0)"},
	}
	db, err := sql.Open("sqlite", (&url.URL{Scheme: "file", OmitHost: true, Path: path, RawQuery: settings.Encode()}).String())
	if err != nil {
		return nil, c.failed("opening", err)
	}
	db.SetMaxOpenConns(1)
	c.db = db
	if err := c.prepare(ctx, cacheForm+" "+program); err != nil {
		return nil, errors.Join(c.failed("opening", err), db.Close())
	}
	return c, nil
}

// prepare makes the tables, and empties them where another program filled them.
func (c *Cache) prepare(ctx context.Context, by string) error {
	tables := 0
	err := c.db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema WHERE name IN ('program', 'found')").Scan(&tables)
	if err != nil {
		return err
	}
	if tables == 0 {
		others := 0
		if err := c.db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&others); err != nil {
			return err
		}
		if others > 0 {
			return errors.New("it is a database of something else")
		}
	}
	tx, err := c.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // after a commit it does nothing
	for _, statement := range []string{
		"CREATE TABLE IF NOT EXISTS program (filled_by TEXT NOT NULL) STRICT",
		"CREATE TABLE IF NOT EXISTS found (key TEXT PRIMARY KEY, record TEXT NOT NULL, value BLOB NOT NULL) STRICT",
		"CREATE INDEX IF NOT EXISTS found_record ON found (record)",
	} {
		if _, err := tx.ExecContext(ctx, statement); err != nil {
			return err
		}
	}
	var filled string
	err = tx.QueryRowContext(ctx, "SELECT filled_by FROM program").Scan(&filled)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	if filled != by {
		for _, statement := range []string{"DELETE FROM found", "DELETE FROM program"} {
			if _, err := tx.ExecContext(ctx, statement); err != nil {
				return err
			}
		}
		if _, err := tx.ExecContext(ctx, "INSERT INTO program VALUES (?)", by); err != nil {
			return err
		}
	}
	return tx.Commit()
}

// Close writes what is not written yet and closes the cache.
func (c *Cache) Close() error {
	err := c.Flush(context.Background())
	if closed := c.db.Close(); closed != nil {
		err = errors.Join(err, c.failed("closing", closed))
	}
	return err
}

// cacheKey names all that the result for a visit depends on, save the program.
func cacheKey(o one, p *plan) string {
	parts := []string{p.now.digest(), p.old.digest(), o.rec.Digest(), o.compared, o.received, strings.Join(p.withheld, " ")}
	// The recorded verdict says which outcomes were conceded.
	if entry, ok := o.visit.Verdict(); ok && len(entry.Concessions) > 0 {
		parts = append(parts, entry.Verdict)
	}
	sum := sha256.Sum256([]byte(strings.Join(parts, "\n")))
	return hex.EncodeToString(sum[:])
}

// get finds what was kept under a key.
func (c *Cache) get(ctx context.Context, key string) (*found, bool, error) {
	var value []byte
	err := c.db.QueryRowContext(ctx, "SELECT value FROM found WHERE key = ?", key).Scan(&value)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, false, nil
	}
	if err != nil {
		return nil, false, c.failed("reading", err)
	}
	var f found
	if err := json.Unmarshal(value, &f); err != nil {
		return nil, false, c.failed("reading", err)
	}
	return &f, true, nil
}

// put keeps what was found, and writes it with others.
func (c *Cache) put(ctx context.Context, key, record string, f *found) error {
	value, err := json.Marshal(f)
	if err != nil {
		return c.failed("filling", err)
	}
	c.mu.Lock()
	c.pending = append(c.pending, row{key, record, value})
	full := len(c.pending) >= together
	c.mu.Unlock()
	if !full {
		return nil
	}
	return c.Flush(ctx)
}

// Flush writes what is not written yet.
func (c *Cache) Flush(ctx context.Context) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.pending) == 0 {
		return nil
	}
	if err := c.write(ctx, c.pending); err != nil {
		return c.failed("filling", err)
	}
	c.pending = nil
	return nil
}

func (c *Cache) write(ctx context.Context, rows []row) error {
	tx, err := c.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // after a commit it does nothing
	for _, r := range rows {
		if _, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO found VALUES (?, ?, ?)", r.key, r.record, r.value); err != nil {
			return err
		}
	}
	if _, err := tx.ExecContext(ctx, "DELETE FROM found WHERE rowid <= (SELECT max(rowid) FROM found) - ?", MaxCached); err != nil {
		return err
	}
	return tx.Commit()
}

// Forget takes out what was found for records with these digests.
func (c *Cache) Forget(ctx context.Context, records []string) error {
	for _, digest := range records {
		if _, err := c.db.ExecContext(ctx, "DELETE FROM found WHERE record = ?", digest); err != nil {
			return c.failed("clearing", err)
		}
	}
	return nil
}

// failed says what was being done with which cache.
func (c *Cache) failed(doing string, err error) error {
	mend := "name another file; if this one is a cache, it may be deleted, and costs time alone"
	var fault *sqlite.Error
	if errors.As(err, &fault) {
		switch fault.Code() & 0xff {
		case lib.SQLITE_FULL:
			mend = "make room on the disk, or do without a cache"
		case lib.SQLITE_CANTOPEN, lib.SQLITE_READONLY:
			mend = "see that its folder is there and that both can be written, or name another file"
		}
	}
	return fmt.Errorf("%s the cache of replays %s: %w\n%s", doing, c.path, err, mend)
}
