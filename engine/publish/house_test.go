package publish_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/publish"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// releasesFile is a list as people write it: comments, quotes, an entry in braces.
const releasesFile = `# yaml-language-server: $schema=releases.v1.json
#
# What the house releases.
releases:
  # The first one.
  - version: 1.0.0 # in use
    digest: DIGEST
    state: released
    from: "2026-01-01"
    author: lead-01
    approved_by: lead-02
    told: all
    note: first release

  - {version: 1.0.1, state: draft, note: "a mended word"} # not yet out
`

// house is a policies folder with the smallest release and examples of its rules.
func house(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	first := filepath.Join(dir, "1.0.0")
	for _, from := range [][2]string{{"../ruleset/testdata/small", ""}, {"../compare/testdata/examples", "examples"}} {
		if err := os.CopyFS(filepath.Join(first, from[1]), os.DirFS(from[0])); err != nil {
			t.Fatal(err)
		}
	}
	digest, err := ruleset.Digest(os.DirFS(first))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(filepath.Join(dir, "1.0.1"), os.DirFS(first)); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(dir, ruleset.ReleasesFile), strings.Replace(releasesFile, "DIGEST", digest, 1))
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

// replace replaces text in a file, which must hold it.
func replace(t *testing.T, file, old, now string) {
	t.Helper()
	text := read(t, file)
	if !strings.Contains(text, old) {
		t.Fatalf("%s does not hold %q", file, old)
	}
	write(t, file, strings.Replace(text, old, now, 1))
}

func open(t *testing.T, dir string) *publish.Folder {
	t.Helper()
	f, err := publish.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	})
	return f
}

// picture is every file of a folder with its content, to see that nothing changed.
func picture(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		if d.Type()&fs.ModeSymlink != 0 {
			to, err := os.Readlink(name)
			out[name] = "-> " + to
			return err
		}
		data, err := os.ReadFile(name)
		out[name] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// demandSame demands that nothing in a folder changed since its picture was taken.
func demandSame(t *testing.T, dir string, before map[string]string) {
	t.Helper()
	after := picture(t, dir)
	for name, content := range after {
		if old, ok := before[name]; !ok || old != content {
			t.Errorf("%s was written, though the command was refused", name)
		}
	}
	if len(after) < len(before) {
		t.Errorf("%d files are gone", len(before)-len(after))
	}
}

// A tampering changes a release in one of the ways in which one can.
var tamperings = map[string]func(t *testing.T, release string){
	"a byte": func(t *testing.T, release string) {
		replace(t, filepath.Join(release, "limits.yaml"), "1.260", "1.261")
	},
	"a file added": func(t *testing.T, release string) {
		write(t, filepath.Join(release, "more.md"), "more\n")
	},
	"a file removed": func(t *testing.T, release string) {
		if err := os.Remove(filepath.Join(release, "README.md")); err != nil {
			t.Fatal(err)
		}
	},
	"a mode changed": func(t *testing.T, release string) {
		if err := os.Chmod(filepath.Join(release, "limits.yaml"), 0o755); err != nil {
			t.Fatal(err)
		}
	},
	"a link in the place of a file": func(t *testing.T, release string) {
		file := filepath.Join(release, "limits.yaml")
		away := filepath.Join(t.TempDir(), "limits.yaml")
		if err := errors.Join(os.Rename(file, away), os.Symlink(away, file)); err != nil {
			t.Fatal(err)
		}
	},
	"a link in the place of the folder": func(t *testing.T, release string) {
		away := filepath.Join(t.TempDir(), "away")
		if err := errors.Join(os.Rename(release, away), os.Symlink(away, release)); err != nil {
			t.Fatal(err)
		}
	},
}
