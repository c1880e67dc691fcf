package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"time"

	"modernc.org/sqlite" // the database, in pure Go
	lib "modernc.org/sqlite/lib"
)

// DefaultWait is how long a writer waits for another unless told otherwise.
const DefaultWait = 10 * time.Second

// Options say how an archive is opened.
type Options struct {
	// Create makes the archive where there is no file, or an empty one. Without
	// it that is an error, so that a slip in a path is no empty archive.
	Create bool
	// ReadOnly leaves the file as it is, and needs no right to write it. There is
	// one exception: what a run that ended in the middle left half done is first
	// taken back, for it could not be read otherwise.
	ReadOnly bool
	// Wait is how long to wait while another process holds the archive.
	// Default: [DefaultWait].
	Wait time.Duration
}

// Archive is an open archive. It may be used by several goroutines at once.
type Archive struct {
	path string
	wait time.Duration
	db   *sql.DB
}

// Open opens the archive at a path. One of an older layout is brought to the
// newest, in one transaction. A file that is no archive, is of a newer layout or
// cannot be read is an error.
func Open(ctx context.Context, path string, opt Options) (*Archive, error) {
	a, err := open(ctx, path, opt, layouts())
	var fault *sqlite.Error
	if err == nil || !opt.ReadOnly || !errors.As(err, &fault) || fault.Code() != lib.SQLITE_READONLY_ROLLBACK {
		return a, err
	}
	mended, failed := open(ctx, path, Options{Wait: opt.Wait}, layouts())
	if failed != nil {
		return nil, err // says that it must be opened for writing, which is not allowed here
	}
	if err := mended.Close(); err != nil {
		return nil, err
	}
	return open(ctx, path, opt, layouts())
}

func open(ctx context.Context, path string, opt Options, steps []string) (*Archive, error) {
	a := &Archive{path: path, wait: opt.Wait}
	if a.wait <= 0 {
		a.wait = DefaultWait
	}
	mode := "rw"
	switch info, err := os.Stat(path); {
	case err == nil && info.IsDir():
		return nil, fmt.Errorf("opening archive %s: it is a directory\nname the file of an archive", path)
	case err == nil:
	case !errors.Is(err, fs.ErrNotExist):
		return nil, a.failed("opening", err)
	case !opt.Create || opt.ReadOnly:
		return nil, fmt.Errorf("opening archive %s: there is no such file\nlook for a slip in the path, or have the archive created", path)
	default:
		mode = "rwc"
	}
	if opt.ReadOnly {
		mode = "ro"
	}
	db, err := sql.Open("sqlite", source(path, mode, a.wait))
	if err != nil {
		return nil, a.failed("opening", err)
	}
	// One connection: what one goroutine wrote the next one sees, and a writer
	// waits for others of this process in line, not by polling a lock.
	db.SetMaxOpenConns(1)
	a.db = db
	if err := a.bring(ctx, opt, steps); err != nil {
		return nil, errors.Join(a.failed("opening", err), db.Close())
	}
	return a, nil
}

// source is the path with its settings, as the driver takes it.
func source(path, mode string, wait time.Duration) string {
	settings := url.Values{
		"mode":    {mode},
		"_txlock": {"immediate"}, // a writer finds out at once that another is at it
		"_pragma": {
			fmt.Sprintf("busy_timeout(%d)", wait.Milliseconds()),
			"secure_delete(1)", // what is redacted is overwritten
			"trusted_schema(0)",
		},
	}
	if mode != "ro" {
		settings["_pragma"] = append(settings["_pragma"], "journal_mode(delete)", "synchronous(extra)")
	}
	return (&url.URL{Scheme: "file", OmitHost: true, Path: path, RawQuery: settings.Encode()}).String()
}

// Close closes the archive.
func (a *Archive) Close() error {
	if err := a.db.Close(); err != nil {
		return fmt.Errorf("closing archive %s: %w", a.path, err)
	}
	return nil
}
