package replay_test

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/compare"
	"github.com/visitgauge/visitgauge/engine/intake"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/schema"
)

const received = "2026-12-24T17:00:00+02:00"

// bench is an archive judged by the smallest release, and what it is replayed under:
// that release changed.
type bench struct {
	t        testing.TB
	archive  *archive.Archive
	path     string // of the archive
	decoder  *record.Decoder
	releases *ruleset.Releases
	editions *replay.Editions
	intake   intake.Options
	base     []byte
}

// An edit replaces text in a file of a release.
type edit struct{ file, old, new string }

// newBench makes releases: 1.0.0 is the smallest one, in force from the first of
// January, and 2.0.0 the same with edits, in force from the first of July.
func newBench(t testing.TB, edits ...edit) *bench {
	t.Helper()
	dir := t.TempDir()
	var list strings.Builder
	list.WriteString("releases:\n")
	for version, from := range map[string]string{"1.0.0": "2026-01-01", "2.0.0": "2026-07-01"} {
		folder := filepath.Join(dir, version)
		if err := os.CopyFS(folder, os.DirFS("../ruleset/testdata/small")); err != nil {
			t.Fatal(err)
		}
		if err := os.Remove(filepath.Join(folder, ruleset.CatalogueFile)); err != nil {
			t.Fatal(err)
		}
		if version == "2.0.0" {
			change(t, folder, edits)
		}
		catalogue, err := ruleset.BuildCatalogue(t.Context(), os.DirFS(folder))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, ruleset.CatalogueFile), catalogue, 0o666); err != nil {
			t.Fatal(err)
		}
		digest, err := ruleset.Digest(os.DirFS(folder))
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&list, "  - version: %s\n    digest: %s\n    state: released\n    from: %q\n    author: lead-01\n    approved_by: lead-02\n    told: nobody\n    note: for a test\n",
			version, digest, from)
	}
	if err := os.WriteFile(filepath.Join(dir, ruleset.ReleasesFile), []byte(list.String()), 0o666); err != nil {
		t.Fatal(err)
	}
	return benchOf(t, dir)
}

func change(t testing.TB, folder string, edits []edit) {
	t.Helper()
	for _, e := range edits {
		path := filepath.Join(folder, e.file)
		if e.old == "" {
			if err := os.WriteFile(path, []byte(e.new), 0o666); err != nil {
				t.Fatal(err)
			}
			continue
		}
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Contains(text, []byte(e.old)) {
			t.Fatalf("%s does not hold %q", e.file, e.old)
		}
		if err := os.WriteFile(path, bytes.Replace(text, []byte(e.old), []byte(e.new), 1), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// benchOf has the releases of a folder of policies.
func benchOf(t testing.TB, dir string) *bench {
	t.Helper()
	releases, err := ruleset.ReadReleases(os.DirFS(dir))
	if err != nil {
		t.Fatal(err)
	}
	base, err := os.ReadFile("../../cmd/visitgauge/testdata/visit.json")
	if err != nil {
		t.Fatal(err)
	}
	visits, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "visits.archive")
	a, err := archive.Open(t.Context(), path, archive.Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = a.Close() })
	b := &bench{t: t, archive: a, path: path, decoder: record.NewDecoder(visits, record.Limits{}), releases: releases, base: base}
	b.editions = replay.NewEditions(releases, func(ctx context.Context, entry ruleset.Release) (*replay.Edition, error) { return b.open(ctx, entry) })
	b.intake = intake.Options{Archive: a}
	b.intake.Decoder, b.intake.Rules, b.intake.Received, b.intake.Workers = b.decoder, stream.InForce(releases, true), received, 2
	return b
}

func (b *bench) open(ctx context.Context, entry ruleset.Release) (*replay.Edition, error) {
	files, err := b.releases.Folder(entry)
	if err != nil {
		return nil, err
	}
	return replay.NewEdition(ctx, compare.Side{Name: entry.Version, Entry: entry, Files: files}, func(ctx context.Context, native bool, without ...string) (*ruleset.Set, error) {
		return b.releases.Open(ctx, entry, native, without...)
	})
}

func (b *bench) edition(version string) *replay.Edition {
	b.t.Helper()
	entry, err := b.releases.Find(version)
	if err != nil {
		b.t.Fatal(err)
	}
	e, err := b.open(b.t.Context(), entry)
	if err != nil {
		b.t.Fatal(err)
	}
	return e
}

// visit is the bytes of a visit of a day of 2026 with the gravities of its cells.
func (b *bench) visit(id, on, serial string, gravities ...string) []byte {
	b.t.Helper()
	dec := json.NewDecoder(bytes.NewReader(b.base))
	dec.UseNumber()
	var doc map[string]any
	if err := dec.Decode(&doc); err != nil {
		b.t.Fatal(err)
	}
	doc["id"], doc["started"], doc["ended"] = id, on+"T08:00:00+02:00", on+"T09:30:00+02:00"
	doc["machine"].(map[string]any)["serial"] = serial
	cells := doc["battery"].(map[string]any)["cells"].([]any)
	for i, g := range gravities {
		cells[i].(map[string]any)["gravity"].(map[string]any)["as_found"].(map[string]any)["value"] = json.Number(g)
	}
	data, err := json.Marshal(doc)
	if err != nil {
		b.t.Fatal(err)
	}
	if _, err := b.decoder.Decode(id, 1, data); err != nil {
		b.t.Fatal(err)
	}
	return data
}

func items(visits ...[]byte) iter.Seq[record.Item] {
	return func(yield func(record.Item) bool) {
		for i, data := range visits {
			if !yield(record.Item{Source: "test", FirstLine: i + 1, Data: data}) {
				return
			}
		}
	}
}

// check hands visits in to the archive, judged by the release in force on their day.
func (b *bench) check(all iter.Seq[record.Item]) {
	b.t.Helper()
	err := intake.Check(b.t.Context(), all, b.intake, func(stream.Result) error { return nil }, func(intake.Again) error { return nil })
	if err != nil {
		b.t.Fatal(err)
	}
}

// options replay the archive under a release, against that in force.
func (b *bench) options(under string) replay.Options {
	b.t.Helper()
	return replay.Options{From: b.archive, Select: replay.Of(archive.Filter{}, nil), Decoder: b.decoder, Under: b.edition(under),
		Against: b.editions.InForce, Words: "in force", Workers: 2}
}

func (b *bench) run(opt replay.Options) *replay.Replay {
	b.t.Helper()
	got, err := replay.Run(b.t.Context(), opt)
	if err != nil {
		b.t.Fatal(err)
	}
	return got
}

// encoded is a result as text, to be compared.
func encoded(t testing.TB, v any) string {
	t.Helper()
	data, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// on is a day, counted on from the third of January 2026.
func on(n int) string { return time.Date(2026, 1, 3+n, 0, 0, 0, 0, time.UTC).Format(time.DateOnly) }

func verdictSchema(t testing.TB) *jsonschema.Schema {
	t.Helper()
	s, err := schema.Compile("verdict")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// kept counts what a cache holds.
func kept(t testing.TB, path string) int {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	n := 0
	if err := db.QueryRowContext(t.Context(), "SELECT count(*) FROM found").Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}
