package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// savedPages makes the pages anew from saved verdicts and the records, and demands
// the same bytes. The list of what was refused stands elsewhere in the index.
func savedPages(t *testing.T, folder string) {
	dir := t.TempDir()
	verdicts := filepath.Join(dir, "verdicts.jsonl")
	commanded(t, exitUnjudged, "check", "--release", benchRelease, "--format", "json", "--output", verdicts, "../../testdata/demo")
	again := filepath.Join(dir, "pages")
	commanded(t, exitUnjudged, "report", "--format", "html", "--records", "../../testdata/demo", "--output", again, verdicts)
	pages, err := filepath.Glob(filepath.Join(folder, "visit-*.html"))
	if err != nil || len(pages) == 0 {
		t.Fatalf("no pages: %v", err)
	}
	for _, page := range pages {
		want, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join(again, filepath.Base(page)))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is another when it is made from the saved verdict", filepath.Base(page))
		}
	}
	// V-0111 was compared with V-0102, which is not there.
	told := commanded(t, exitFailed, "report", "--format", "html", "--records", "../../testdata/demo/V-0111.json",
		"--output", filepath.Join(dir, "one"), verdicts)
	if want := "visit V-0111 is shown without its readings: not at hand is visit V-0102, which it was compared with"; !strings.Contains(told, want) {
		t.Errorf("told was %q, want %q", told, want)
	}
	// A folder has no version, so it is none of the releases that the verdicts name.
	told = commanded(t, exitFailed, "report", "--format", "html", "--records", "../../testdata/demo/V-0102.json",
		"--policies", "../../policies/"+benchRelease, "--output", filepath.Join(dir, "other"), verdicts)
	if want := "visit V-0102 is shown without its readings: not at hand is the release"; !strings.Contains(told, want) {
		t.Errorf("told was %q, want %q", told, want)
	}
}

// commanded runs a command and returns what it told on standard error.
func commanded(t *testing.T, code int, args ...string) string {
	t.Helper()
	var stdout, stderr bytes.Buffer
	if got := run(context.Background(), args, strings.NewReader(""), &stdout, &stderr); got != code {
		t.Fatalf("%s: exit code %d, want %d: %s", args[0], got, code, &stderr)
	}
	return stderr.String()
}
