package compare_test

import (
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/visitgauge/visitgauge/engine/compare"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

// small is the smallest release, with examples of its rules.
func small(t *testing.T) fstest.MapFS {
	t.Helper()
	files := fstest.MapFS{}
	for from, to := range map[string]string{"../ruleset/testdata/small": "", "testdata/examples": "examples/"} {
		folder := os.DirFS(from)
		err := fs.WalkDir(folder, ".", func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			data, err := fs.ReadFile(folder, name)
			files[to+name] = &fstest.MapFile{Data: data}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	delete(files, ruleset.CatalogueFile) // it is written anew by whoever changes a text
	return files
}

// An edit replaces text in a file of a release, or writes the whole file where it
// replaces nothing. Without a text it takes the file away.
type edit struct{ file, old, new string }

func edited(t *testing.T, edits ...edit) fstest.MapFS {
	t.Helper()
	files := small(t)
	for _, e := range edits {
		switch {
		case e.old == "" && e.new == "":
			delete(files, e.file)
		case e.old == "":
			files[e.file] = &fstest.MapFile{Data: []byte(e.new)}
		default:
			text := string(files[e.file].Data)
			if !strings.Contains(text, e.old) {
				t.Fatalf("%s does not hold %q", e.file, e.old)
			}
			files[e.file] = &fstest.MapFile{Data: []byte(strings.Replace(text, e.old, e.new, 1))}
		}
	}
	return files
}

func side(t *testing.T, name string, files fs.FS) compare.Side {
	t.Helper()
	set, err := ruleset.Load(t.Context(), files, ruleset.Options{Version: name})
	if err != nil {
		t.Fatal(err)
	}
	return compare.Side{Name: name, Entry: ruleset.Release{Version: name, State: ruleset.Draft}, Files: files, Set: set}
}

func decoder(t testing.TB) *record.Decoder {
	t.Helper()
	visits, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	return record.NewDecoder(visits, record.Limits{})
}

// compared compares the smallest release with one that was edited.
func compared(t *testing.T, edits ...edit) *compare.Difference {
	t.Helper()
	d, err := compare.Compare(t.Context(), side(t, "1.0.0", small(t)), side(t, "1.1.0", edited(t, edits...)), compare.Options{Decoder: decoder(t)})
	if err != nil {
		t.Fatal(err)
	}
	return d
}
