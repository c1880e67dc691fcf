package ruleset

import (
	"bytes"
	"io/fs"
	"maps"
	"os"
	"slices"
	"testing"
	"testing/fstest"
)

// small is the release in testdata/small as a copy that a test may break.
func small(t testing.TB) fstest.MapFS {
	t.Helper()
	return copied(t, "testdata/small")
}

// copied is the release in a folder as a copy that a test may change.
func copied(t testing.TB, dir string) fstest.MapFS {
	t.Helper()
	release := fstest.MapFS{}
	root := os.DirFS(dir)
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(root, name)
		release[name] = &fstest.MapFile{Data: data, Mode: 0o644}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(release) == 0 {
		t.Fatalf("%s is empty", dir)
	}
	return release
}

// edit replaces the first place where a file has the old text. Its catalogue
// goes, for it would be old too.
func edit(t testing.TB, release fstest.MapFS, file, old, new string) {
	t.Helper()
	f, ok := release[file]
	if !ok {
		t.Fatalf("there is no file %s to edit", file)
	}
	if !bytes.Contains(f.Data, []byte(old)) {
		t.Fatalf("%s does not hold %q", file, old)
	}
	release[file] = &fstest.MapFile{Data: bytes.Replace(f.Data, []byte(old), []byte(new), 1), Mode: f.Mode}
	delete(release, CatalogueFile)
}

func write(release fstest.MapFS, file, content string) {
	release[file] = &fstest.MapFile{Data: []byte(content), Mode: 0o644}
	delete(release, CatalogueFile)
}

// keysOf lists the keys of a map in order.
func keysOf[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
