package policies_test

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/review"
)

// TestEditorsFindTheSchemas demands of every YAML file that its first line leads an
// editor to the schema it follows. The base visits have no such line: JSON has no
// comments, and the schema of visits admits no member $schema.
func TestEditorsFindTheSchemas(t *testing.T) {
	resolves := func(folder string) func(file, to string) bool {
		return func(file, to string) bool {
			info, err := os.Stat(filepath.Join(folder, filepath.FromSlash(path.Join(path.Dir(file), to))))
			return err == nil && info.Mode().IsRegular()
		}
	}
	checked := 0
	err := fs.WalkDir(os.DirFS("."), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) != ".yaml" {
			return err
		}
		data, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		release, inside, ok := strings.Cut(name, "/")
		if !ok {
			release, inside = ".", name
		}
		if message, mend := review.Modeline(inside, data, resolves(release)); message != "" {
			t.Errorf("%s %s\n%s", name, message, mend)
		}
		checked++
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if checked < 100 {
		t.Errorf("only %d files were looked at", checked)
	}
}
