package archive

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// TestFolderIsASource reads the same visits from an archive and from files: each
// is compared with the same.
func TestFolderIsASource(t *testing.T) {
	a, records := filled(t, 7)
	w := newWorkshop()
	dir := t.TempDir()
	var lines []byte
	for _, n := range []int{3, 0, 5, 1, 6} {
		lines = append(append(lines, records[n].Raw()...), '\n')
	}
	lines = append(append(lines, records[0].Raw()...), '\n') // the same bytes again
	other := w.record(t, "V-001", 1, "WB-9", nil)
	lines = append(append(lines, other.Raw()...), '\n') // the same id, other bytes
	lines = append(lines, "{}\n"...)
	write := func(name string, data []byte) {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	write("a.jsonl", lines)
	write("b.json", records[2].Raw())
	write("c.json", records[4].Raw())
	var refused []string
	f, err := OpenFolder(t.Context(), record.NewReader([]string{dir}, nil, record.Limits{}).All(), w.decoder, func(ps record.Problems) error {
		refused = append(refused, ps[0].Message)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(refused) != 2 || !strings.Contains(refused[0], `"V-001" was read before`) {
		t.Errorf("refused %q", refused)
	}
	var order []string
	for v, err := range f.Visits(t.Context(), Filter{Serials: []string{"WB-1"}}) {
		if err != nil {
			t.Fatal(err)
		}
		order = append(order, v.ID)
	}
	if want := []string{"V-003", "V-005", "V-001"}; !reflect.DeepEqual(order, want) {
		t.Errorf("visits %q, want %q", order, want)
	}
	for _, serial := range []string{"WB-0", "WB-1", "WB-2"} {
		var machines [2]*Machine
		for i, source := range []Source{a, f} {
			if machines[i], err = LoadMachine(t.Context(), source, w.decoder, serial); err != nil {
				t.Fatal(err)
			}
		}
		for _, v := range machines[0].Visits {
			x, y := machines[0].Record(v.ID), machines[1].Record(v.ID)
			if y == nil || !bytes.Equal(x.Raw(), y.Raw()) {
				t.Fatalf("%s differs", v.ID)
			}
			fromArchive, _ := machines[0].Earlier(x)
			fromFolder, _ := machines[1].Earlier(y)
			if !reflect.DeepEqual(fromArchive.Value(), fromFolder.Value()) {
				t.Errorf("%s is not compared with the same", v.ID)
			}
			if v.ID > "V-001" && fromFolder.LastVisit == nil {
				t.Errorf("%s is compared with nothing", v.ID)
			}
		}
	}
	write("b.json", records[4].Raw())
	if _, err := f.Bytes(t.Context(), records[2].Digest()); err == nil {
		t.Error("a file that was changed is read as if it were not")
	}
}

// TestOrderPlaysNoPart hands the same visits in forwards and backwards: each is
// compared with the same.
func TestOrderPlaysNoPart(t *testing.T) {
	w := newWorkshop()
	one, records := filled(t, 6)
	two := newArchive(t)
	for n := range records {
		add(t, two, records[len(records)-1-n], "1.0.0", verdict.Accepted)
	}
	for _, serial := range []string{"WB-0", "WB-1"} {
		a, err := LoadMachine(t.Context(), one, w.decoder, serial)
		if err != nil {
			t.Fatal(err)
		}
		b, err := LoadMachine(t.Context(), two, w.decoder, serial)
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range a.Visits {
			if b.Visits[i].ID != v.ID {
				t.Fatalf("visit %d is %s and %s", i, v.ID, b.Visits[i].ID)
			}
			x, _ := a.Earlier(a.Record(v.ID))
			y, _ := b.Earlier(b.Record(v.ID))
			if !reflect.DeepEqual(x.Value(), y.Value()) {
				t.Errorf("%s is not compared with the same", v.ID)
			}
		}
	}
}
