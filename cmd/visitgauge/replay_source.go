package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/reports"
	"github.com/visitgauge/visitgauge/schema"
)

// opened is where archived visits are read from.
type opened struct {
	source  archive.Source
	decoder *record.Decoder
	refused bool // some records were
	close   func() error
}

// openSource opens an archive, or looks through a directory or a file of records.
func openSource(ctx context.Context, cmd *cobra.Command, path string) (*opened, error) {
	visit, err := schema.Compile("visit")
	if err != nil {
		return nil, err
	}
	is, err := isDatabase(path)
	if err != nil {
		return nil, usage("%w\nname an archive, a directory of records or a file of them", err)
	}
	if is {
		a, err := archive.Open(ctx, path, archive.Options{ReadOnly: true})
		if err != nil {
			return nil, err
		}
		// What was handed in was accepted then, whatever bounds were set.
		unbound := record.Limits{Bytes: math.MaxInt64, Depth: math.MaxInt, String: math.MaxInt, Members: math.MaxInt}
		return &opened{source: a, decoder: record.NewDecoder(visit, unbound), close: a.Close}, nil
	}
	out := &opened{decoder: record.NewDecoder(visit, record.Limits{}), close: func() error { return nil }}
	words := reports.NewJSON(io.Discard, cmd.ErrOrStderr(), reports.JSONOptions{})
	items := record.NewReader([]string{path}, cmd.InOrStdin(), record.Limits{}).All()
	out.source, err = archive.OpenFolder(ctx, items, out.decoder, func(ps record.Problems) error {
		out.refused = true
		return words.Refused(refusal(ps, false))
	})
	if ctx.Err() != nil {
		err = stream.ErrInterrupted
	}
	return out, err
}

// isDatabase tells whether a path is a file that begins as a SQLite database does
// (https://www.sqlite.org/fileformat.html, 1.3.1), and so is an archive or none.
func isDatabase(path string) (bool, error) {
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || info.IsDir() {
		return false, err
	}
	const magic = "SQLite format 3\x00"
	start := make([]byte, len(magic))
	if _, err := io.ReadFull(f, start); err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return false, err
	}
	return string(start) == magic, nil
}

// cacheFlags say where what a replay finds is kept.
type cacheFlags struct {
	path string
	none bool
}

func (f *cacheFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.path, "cache", "", "keep what is found in `FILE`, so that a stopped run goes on (default: in the user's folder for caches)")
	flags.BoolVar(&f.none, "no-cache", false, "keep nothing")
}

func (f *cacheFlags) check() error {
	if f.none && f.path != "" {
		return usage("--cache and --no-cache exclude each other")
	}
	return nil
}

// cache opens the cache, or is nil where none is wanted.
func (f *cacheFlags) cache(ctx context.Context) (*replay.Cache, error) {
	if f.none {
		return nil, nil
	}
	path := f.path
	if path == "" {
		folder, err := os.UserCacheDir()
		if err == nil {
			folder = filepath.Join(folder, "visitgauge")
			err = os.MkdirAll(folder, 0o700)
		}
		if err != nil {
			return nil, fmt.Errorf("finding the user's folder for caches: %w\nname a file with --cache, or keep nothing with --no-cache", err)
		}
		path = filepath.Join(folder, "replay.cache")
	}
	program, err := programDigest()
	if err != nil {
		return nil, err
	}
	return replay.OpenCache(ctx, path, program)
}

// goesOn says what becomes of a run that was interrupted.
func (f *cacheFlags) goesOn() string {
	if f.none {
		return "\nrun it again without --no-cache to go on from where it stops next time"
	}
	return "\nrun it again to go on from there"
}

// programDigest is a digest of the program that runs.
func programDigest() (string, error) {
	digest := func() (string, error) {
		path, err := os.Executable()
		if err != nil {
			return "", err
		}
		f, err := os.Open(path)
		if err != nil {
			return "", err
		}
		defer f.Close()
		h := sha256.New()
		if _, err := io.Copy(h, f); err != nil {
			return "", err
		}
		return hex.EncodeToString(h.Sum(nil)), nil
	}
	out, err := digest()
	if err != nil {
		return "", fmt.Errorf("reading the program itself, to know its results again: %w\nkeep nothing with --no-cache", err)
	}
	return out, nil
}
