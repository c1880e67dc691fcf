package archive

import (
	"bytes"
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

func write(t *testing.T, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o666); err != nil {
		t.Fatal(err)
	}
}

// TestWhatIsNoArchive opens what is none. Each is left as it was.
func TestWhatIsNoArchive(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	write(t, at("text"), []byte(strings.Repeat("This is no database at all. ", 200)))
	write(t, at("empty"), nil)
	db, err := sql.Open("sqlite", at("other"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("CREATE TABLE things (a)"); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		name   string
		create bool
		says   string
	}{
		{"missing", false, "there is no such file\nlook for a slip"},
		{"no-such-folder/new", true, "cannot be opened"},
		{".", true, "it is a directory"},
		{"text", true, "it is no archive\nlook for a slip"},
		{"empty", false, "it is empty and no archive"},
		{"other", true, "a database of something else"},
	} {
		before, _ := os.ReadFile(at(test.name)) // none where it is no file
		_, err := Open(t.Context(), at(test.name), Options{Create: test.create})
		if err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, want %s", test.name, err, test.says)
		}
		if after, _ := os.ReadFile(at(test.name)); !bytes.Equal(before, after) {
			t.Errorf("%s was changed", test.name)
		}
	}
	if _, err := os.Stat(at("missing")); err == nil {
		t.Error("a file was made though none was asked for")
	}
	openArchive(t, at("empty"), Options{Create: true})
	odd := at("per%20cent?and#such&mode=memory")
	add(t, openArchive(t, odd, Options{Create: true}), newWorkshop().record(t, "V-1", 0, "WB-1", nil), "", "")
	if info, err := os.Stat(odd); err != nil || info.Size() == 0 {
		t.Errorf("a path of odd characters: %v", err)
	}
}

// TestReadOnly reads an archive that may not be written, and fails to write it.
func TestReadOnly(t *testing.T) {
	a, records := filled(t, 2)
	if err := a.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(a.path, 0o444); err != nil {
		t.Fatal(err)
	}
	r := openArchive(t, a.path, Options{ReadOnly: true})
	sound(t, r)
	if _, err := r.Bytes(t.Context(), records[1].Digest()); err != nil {
		t.Error(err)
	}
	_, err := r.Add(t.Context(), newWorkshop().record(t, "V-9", 9, "WB-1", nil), Receipt{})
	if err == nil || !strings.Contains(err.Error(), "it may only be read\nask for the right") {
		t.Errorf("writing: %v", err)
	}
	// An account that may do everything writes it all the same.
	if os.Geteuid() != 0 {
		w := openArchive(t, a.path, Options{})
		_, err := w.Add(t.Context(), newWorkshop().record(t, "V-9", 9, "WB-1", nil), Receipt{})
		if err == nil || !strings.Contains(err.Error(), "it may only be read\nask for the right") {
			t.Errorf("writing: %v", err)
		}
	}
	sound(t, r)
}

// TestCutOff cuts an archive off at many places: it is never taken for whole, and
// nothing worse happens than an error.
func TestCutOff(t *testing.T) {
	a, _ := filled(t, 12)
	if err := a.Close(); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(a.path)
	if err != nil {
		t.Fatal(err)
	}
	opened := 0
	for cut := 1; cut < len(whole); cut += 1 + len(whole)/37 {
		path := filepath.Join(t.TempDir(), "cut")
		write(t, path, whole[:cut])
		b, err := Open(t.Context(), path, Options{})
		if err != nil {
			if !strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), "archive") {
				t.Errorf("cut off at %d: %v", cut, err)
			}
			continue
		}
		opened++
		v, err := b.Verify(t.Context())
		if err == nil && len(v.Findings) == 0 {
			t.Errorf("cut off at %d of %d it is taken for whole", cut, len(whole))
		}
		if err := b.Close(); err != nil {
			t.Error(err)
		}
	}
	t.Logf("%d of the pieces could be opened", opened)
	sound(t, openArchive(t, a.path, Options{}))
}

// TestLayouts brings an archive to a layout that is yet to come, and back it does
// not go.
func TestLayouts(t *testing.T) {
	a, _ := filled(t, 2)
	if err := a.Close(); err != nil {
		t.Fatal(err)
	}
	layout := func(path string) (n int) {
		t.Helper()
		db, err := sql.Open("sqlite", path)
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		if err := db.QueryRow("PRAGMA user_version").Scan(&n); err != nil {
			t.Fatal(err)
		}
		return n
	}
	now := len(layouts())
	if got := layout(a.path); got != now {
		t.Fatalf("layout %d, want %d", got, now)
	}
	// A step that fails in the middle leaves the archive as it was.
	broken := append(layouts(), "CREATE TABLE extra (a); INSERT INTO nowhere VALUES (1)")
	if _, err := open(t.Context(), a.path, Options{}, broken); err == nil || !strings.Contains(err.Error(), "bringing it to layout") {
		t.Errorf("a broken step: %v", err)
	}
	if got := layout(a.path); got != now {
		t.Errorf("layout %d after a broken step, want %d", got, now)
	}
	further := append(layouts(), "CREATE TABLE extra (a)")
	if _, err := open(t.Context(), a.path, Options{ReadOnly: true}, further); err == nil || !strings.Contains(err.Error(), "open it once for writing") {
		t.Errorf("reading only: %v", err)
	}
	b, err := open(t.Context(), a.path, Options{}, further)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.db.Exec("INSERT INTO extra VALUES (1)"); err != nil {
		t.Error(err)
	}
	if v := sound(t, b); v.Visits != 2 {
		t.Errorf("%d visits, want 2", v.Visits)
	}
	add(t, b, newWorkshop().record(t, "V-9", 9, "WB-1", nil), "1.0.0", verdict.Accepted)
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	if got := layout(a.path); got != now+1 {
		t.Errorf("layout %d, want %d", got, now+1)
	}
	_, err = Open(t.Context(), a.path, Options{Wait: time.Second})
	if err == nil || !strings.Contains(err.Error(), "use the newer program") {
		t.Errorf("a newer layout: %v", err)
	}
}
