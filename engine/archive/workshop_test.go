package archive

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

// workshop makes records and verdicts.
type workshop struct {
	base    []byte
	decoder *record.Decoder
}

var newWorkshop = sync.OnceValue(func() workshop {
	data, err := os.ReadFile("../../policies/1.0.0/examples/base/walk-behind-flooded.json")
	if err != nil {
		panic(err)
	}
	var file map[string]json.RawMessage
	if err := json.Unmarshal(data, &file); err != nil {
		panic(err)
	}
	visits, err := schema.Compile("visit")
	if err != nil {
		panic(err)
	}
	return workshop{base: file["walk-behind-flooded"], decoder: record.NewDecoder(visits, record.Limits{})}
})

// day counts on from the third of January 2026.
func day(n int) string {
	return time.Date(2026, 1, 3+n, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
}

// record is a visit of a day, with fields replaced.
func (w workshop) record(t testing.TB, id string, on int, serial string, edit map[string]any) *record.Record {
	t.Helper()
	dec := json.NewDecoder(strings.NewReader(string(w.base)))
	dec.UseNumber()
	var doc map[string]any
	if err := dec.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	doc["id"], doc["started"], doc["ended"] = id, day(on)+"T08:00:00+02:00", day(on)+"T09:30:00+02:00"
	doc["machine"].(map[string]any)["serial"] = serial
	for name, value := range edit {
		doc[name] = value
	}
	data, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	rec, err := w.decoder.Decode(id, 1, data)
	if err != nil {
		t.Fatalf("%s: %v", id, err)
	}
	return rec
}

// judged is a verdict of a record as judging might give it. What it says matters
// to no test here but for what an entry repeats.
func judged(rec *record.Record, version string, is verdict.AcceptanceValue) *verdict.Verdict {
	started, _ := rec.Text("/started")
	ended, _ := rec.Text("/ended")
	return &verdict.Verdict{
		Schema:  verdict.Version,
		Visit:   verdict.Visit{ID: rec.ID(), Kind: rec.Kind(), Serial: rec.Serial(), Started: started, Ended: ended, Digest: rec.Digest()},
		Release: verdict.Release{Version: version, Digest: "h1:" + version}, Acceptance: verdict.Acceptance{Value: is},
		Serviceability: verdict.Serviceable, Completion: verdict.Full, NeedsAttention: is != verdict.Accepted,
	}
}

// newArchive opens a new archive, which is closed when the test ends.
func newArchive(t testing.TB) *Archive {
	t.Helper()
	return openArchive(t, filepath.Join(t.TempDir(), "visits.archive"), Options{Create: true})
}

func openArchive(t testing.TB, path string, opt Options) *Archive {
	t.Helper()
	a, err := Open(t.Context(), path, opt)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = a.Close() })
	return a
}

// add archives a record and, with a version, a verdict of it.
func add(t testing.TB, a *Archive, rec *record.Record, version string, is verdict.AcceptanceValue) {
	t.Helper()
	if err := a.Do(t.Context(), func(b *Batch) error { return addTo(b, rec, version, is) }); err != nil {
		t.Fatal(err)
	}
}

func addTo(b *Batch, rec *record.Record, version string, is verdict.AcceptanceValue) error {
	if _, err := b.Add(rec, Receipt{Received: "2026-05-04T17:00:00+02:00"}); err != nil || version == "" {
		return err
	}
	_, err := b.AddVerdict(Judgement{Verdict: judged(rec, version, is)})
	return err
}

// filled is an archive of some visits of two machines, each with a verdict.
func filled(t testing.TB, visits int) (*Archive, []*record.Record) {
	t.Helper()
	a, w := newArchive(t), newWorkshop()
	var records []*record.Record
	err := a.Do(t.Context(), func(b *Batch) error {
		for n := range visits {
			rec := w.record(t, fmt.Sprintf("V-%03d", n), n, fmt.Sprintf("WB-%d", n%2), nil)
			is := []verdict.AcceptanceValue{verdict.Accepted, verdict.Rejected, verdict.Incomplete}[n%3]
			if err := addTo(b, rec, "1.0.0", is); err != nil {
				return err
			}
			records = append(records, rec)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return a, records
}

// sound demands that verification finds nothing.
func sound(t testing.TB, a *Archive) Verification {
	t.Helper()
	v, err := a.Verify(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range v.Findings {
		t.Errorf("entry %d, visit %q: %s", f.Index, f.Visit, f.Message)
	}
	return v
}
