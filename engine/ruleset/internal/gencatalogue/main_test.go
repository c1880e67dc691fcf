package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

const draft = `# kept
releases:
  - version: 1.0.0
    state: draft # kept too
    from: "2026-01-01"
    note: first
  - version: 1.1.0
    state: draft
    from: "2026-02-01"
    digest: h1:AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=
    note: second
`

// house is a policies folder with the smallest release under two versions,
// their catalogues old and missing.
func house(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for _, version := range []string{"1.0.0", "1.1.0"} {
		if err := os.CopyFS(filepath.Join(dir, version), os.DirFS("../../testdata/small")); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Remove(filepath.Join(dir, "1.0.0", ruleset.CatalogueFile)); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(dir, "1.1.0", ruleset.CatalogueFile), "{}")
	write(t, filepath.Join(dir, ruleset.ReleasesFile), draft)
	return dir
}

func write(t *testing.T, file, content string) {
	t.Helper()
	if err := os.WriteFile(file, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
}

func read(t *testing.T, file string) string {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestCataloguesAreWritten(t *testing.T) {
	dir := house(t)
	var out bytes.Buffer
	if err := run(t.Context(), []string{dir}, &out); err != nil {
		t.Fatal(err)
	}
	want := read(t, "../../testdata/small/"+ruleset.CatalogueFile)
	for _, version := range []string{"1.0.0", "1.1.0"} {
		if got := read(t, filepath.Join(dir, version, ruleset.CatalogueFile)); got != want {
			t.Errorf("%s: the catalogue is\n%s", version, got)
		}
	}
	digest, err := ruleset.Digest(os.DirFS("../../testdata/small"))
	if err != nil {
		t.Fatal(err)
	}
	if got, want := out.String(), "1.0.0 draft "+digest+"\n1.1.0 draft "+digest+"\n"; got != want {
		t.Errorf("printed\n%swant\n%s", got, want)
	}
	if got := read(t, filepath.Join(dir, ruleset.ReleasesFile)); got != draft {
		t.Errorf("releases.yaml was changed without being asked:\n%s", got)
	}
}

func TestReleaseWritesTheDigest(t *testing.T) {
	dir := house(t)
	digest, err := ruleset.Digest(os.DirFS("../../testdata/small"))
	if err != nil {
		t.Fatal(err)
	}
	for _, version := range []string{"1.0.0", "1.1.0"} {
		if err := run(t.Context(), []string{"-release", version, dir}, &bytes.Buffer{}); err != nil {
			t.Fatal(err)
		}
	}
	got := read(t, filepath.Join(dir, ruleset.ReleasesFile))
	want := strings.Replace(draft, "- version: 1.0.0\n", "- version: 1.0.0\n    digest: "+digest+"\n", 1)
	want = strings.Replace(want, "h1:AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=", digest, 1)
	if got != want {
		t.Errorf("releases.yaml is\n%swant\n%s", got, want)
	}
	if err := run(t.Context(), []string{"-release", "3.0.0", dir}, &bytes.Buffer{}); err == nil {
		t.Error("a version that is not there was released")
	}
}

// A released entry keeps its digest, and the folder its files.
func TestReleasedFolderIsLeftAlone(t *testing.T) {
	dir := house(t)
	if err := run(t.Context(), []string{"-release", "1.0.0", dir}, &bytes.Buffer{}); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, ruleset.ReleasesFile)
	released := strings.Replace(read(t, file), "state: draft # kept too", "state: released\n    author: a\n    approved_by: b", 1)
	write(t, file, released)
	if err := run(t.Context(), []string{dir}, &bytes.Buffer{}); err != nil {
		t.Fatalf("an unchanged release: %v", err)
	}
	steps := filepath.Join(dir, "1.0.0", "steps.yaml")
	write(t, steps, read(t, steps)+"# one line more\n")
	for _, args := range [][]string{{dir}, {"-release", "1.0.0", dir}} {
		err := run(t.Context(), args, &bytes.Buffer{})
		if err == nil || !strings.Contains(err.Error(), "a correction is a new version") {
			t.Errorf("%v: got %v", args, err)
		}
	}
	if got := read(t, file); got != released {
		t.Errorf("releases.yaml was changed:\n%s", got)
	}
}

func TestBrokenDraftHasNoCatalogue(t *testing.T) {
	dir := house(t)
	if err := os.Remove(filepath.Join(dir, "1.0.0", "steps.yaml")); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	err := run(t.Context(), []string{dir}, &out)
	if err == nil || !strings.Contains(err.Error(), "has no steps.yaml") {
		t.Errorf("got %v", err)
	}
	if !strings.Contains(out.String(), "1.1.0 draft") {
		t.Errorf("the sound one was not made: %q", out.String())
	}
}
