package archive

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// refusal demands that an error is a refusal that says something.
func refusal(t *testing.T, err error, says string) {
	t.Helper()
	var r *Refusal
	if !errors.As(err, &r) {
		t.Fatalf("error %v, want a refusal", err)
	}
	if !strings.Contains(r.Message, says) || r.Mend == "" {
		t.Errorf("it says %q, mend %q; want %q", r.Message, r.Mend, says)
	}
}

func TestAVisitIsKeptAsHandedIn(t *testing.T) {
	a, w := newArchive(t), newWorkshop()
	rec := w.record(t, "V-1", 0, "WB-1", nil)
	first, err := a.Add(t.Context(), rec, Receipt{Received: "2026-05-04T17:00:00+02:00"})
	if err != nil || first.Already || first.Entry.Index != 0 || first.Entry.Kind != VisitAdded {
		t.Fatalf("added %+v, %v", first, err)
	}
	again, err := a.Add(t.Context(), rec, Receipt{Received: "2026-06-01T17:00:00+02:00"})
	if err != nil || !again.Already || again.Entry.Received != "2026-05-04T17:00:00+02:00" {
		t.Errorf("the same bytes again: %+v, %v", again, err)
	}
	data, err := a.Bytes(t.Context(), rec.Digest())
	if err != nil || !bytes.Equal(data, rec.Raw()) {
		t.Errorf("read back %d bytes, %v", len(data), err)
	}
	v := judged(rec, "1.0.0", verdict.Rejected)
	if _, err := a.AddVerdict(t.Context(), Judgement{Verdict: v}); err != nil {
		t.Fatal(err)
	}
	if again, err := a.AddVerdict(t.Context(), Judgement{Verdict: v}); err != nil || !again.Already {
		t.Errorf("the same verdict again: %+v, %v", again, err)
	}
	other := judged(rec, "1.1.0", verdict.Accepted)
	_, err = a.AddVerdict(t.Context(), Judgement{Verdict: other})
	refusal(t, err, "has a verdict, entry 1, and this one differs")
	if _, err := a.AddVerdict(t.Context(), Judgement{Verdict: other, Why: "a visit before it was handed in late"}); err != nil {
		t.Fatal(err)
	}
	got, err := a.Visit(t.Context(), "V-1")
	if err != nil || len(got.Entries) != 3 {
		t.Fatalf("%d entries, %v", len(got.Entries), err)
	}
	if e, ok := got.Verdict(); !ok || e.Kind != Rejudged || e.Release.Version != "1.1.0" || e.Follows != got.Entries[1].Verdict || e.Reason == "" {
		t.Errorf("the latest verdict is %+v", e)
	}
	encoded, err := verdict.Encode(v)
	if err != nil {
		t.Fatal(err)
	}
	if kept, err := a.Bytes(t.Context(), got.Entries[1].Verdict); err != nil || !bytes.Equal(kept, encoded) {
		t.Errorf("the first verdict is not as it was: %v", err)
	}
	if v := sound(t, a); v.Size != 3 || v.Visits != 1 || v.Verdicts != 2 {
		t.Errorf("verified %+v", v)
	}
}

func TestACorrectionNeedsReasons(t *testing.T) {
	a, w := newArchive(t), newWorkshop()
	first := w.record(t, "V-1", 0, "WB-1", nil)
	second := w.record(t, "V-1", 1, "WB-2", nil)
	third := w.record(t, "V-1", 2, "WB-2", nil)
	good := Change{Corrects: first.Digest(), By: "lead-02", On: "2026-05-05", Reason: "wrong machine", Evidence: "photo of the plate"}
	_, err := a.Add(t.Context(), first, Receipt{Correction: &good})
	refusal(t, err, "no such visit to correct")
	add(t, a, first, "1.0.0", verdict.Accepted)
	_, err = a.Add(t.Context(), second, Receipt{})
	refusal(t, err, "another record with this id is entry 0")
	for _, test := range []struct {
		says string
		edit func(*Change)
	}{
		{"the correction is of", func(c *Change) { c.Corrects = second.Digest() }},
		{"is no role id", func(c *Change) { c.By = "a name with spaces" }},
		{"is no role id", func(c *Change) { c.By = "" }},
		{"the day it was decided", func(c *Change) { c.On = "5 May" }},
		{"no reason", func(c *Change) { c.Reason = "" }},
		{"no evidence", func(c *Change) { c.Evidence = "" }},
	} {
		c := good
		test.edit(&c)
		_, err := a.Add(t.Context(), second, Receipt{Correction: &c})
		refusal(t, err, test.says)
	}
	if _, err := a.Add(t.Context(), second, Receipt{Correction: &good}); err != nil {
		t.Fatal(err)
	}
	_, err = a.Add(t.Context(), first, Receipt{})
	refusal(t, err, "which was corrected since")
	_, err = a.Add(t.Context(), third, Receipt{Correction: &good})
	refusal(t, err, "the correction is of")
	v, err := a.Visit(t.Context(), "V-1")
	if err != nil || v.Standing().Record != second.Digest() || v.Standing().Evidence == "" {
		t.Errorf("standing %+v, %v", v.Standing(), err)
	}
	if _, judged := v.Verdict(); judged {
		t.Error("the version that stands has the verdict of the one it corrects")
	}
	for _, digest := range []string{first.Digest(), second.Digest()} {
		if _, err := a.Bytes(t.Context(), digest); err != nil {
			t.Error(err)
		}
	}
	// The machine that the first version named has no visit any more.
	for serial, want := range map[string]int{"WB-1": 0, "WB-2": 1} {
		if visits, err := a.Machine(t.Context(), serial); err != nil || len(visits) != want {
			t.Errorf("%s has %d visits, %v; want %d", serial, len(visits), err, want)
		}
	}
	sound(t, a)
}

func TestARedactionLeavesTheEntry(t *testing.T) {
	a, records := filled(t, 3)
	before := sound(t, a)
	d := Decision{By: "lead-02", On: "2026-06-01", Reason: "asked for by the person"}
	_, err := a.Redact(t.Context(), "V-777", d)
	refusal(t, err, "no such visit")
	_, err = a.Redact(t.Context(), "V-001", Decision{})
	refusal(t, err, "no role id")
	if _, err := a.Redact(t.Context(), "V-001", d); err != nil {
		t.Fatal(err)
	}
	if again, err := a.Redact(t.Context(), "V-001", d); err != nil || !again.Already {
		t.Errorf("redacted again: %+v, %v", again, err)
	}
	if _, err := a.Bytes(t.Context(), records[1].Digest()); !errors.Is(err, errGone) {
		t.Errorf("reading its bytes: %v", err)
	}
	if _, err := a.Bytes(t.Context(), records[2].Digest()); err != nil {
		t.Errorf("another visit: %v", err)
	}
	_, err = a.Add(t.Context(), records[1], Receipt{})
	refusal(t, err, "redacted on 2026-06-01 by lead-02: asked for by the person")
	after := sound(t, a)
	if len(after.Redactions) != 1 || after.Redactions[0].Visit != "V-001" || len(after.Redactions[0].Removed) != 2 || after.Size != before.Size+1 {
		t.Errorf("verified %+v", after)
	}
	// What history is compared with leaves it out and says so.
	w := newWorkshop()
	m, err := LoadMachine(t.Context(), a, w.decoder, "WB-1")
	if err != nil {
		t.Fatal(err)
	}
	e, gone := m.Earlier(w.record(t, "V-9", 9, "WB-1", nil))
	if e.LastVisit != nil || !slices.Equal(gone, []string{"V-001"}) {
		t.Errorf("compared with %v, redacted %v", e.LastVisit, gone)
	}
}

// TestRedactedBytesAreOverwritten looks for what was redacted in the file itself.
func TestRedactedBytesAreOverwritten(t *testing.T) {
	a, _ := filled(t, 4)
	// Bytes like no others', or those of other visits would be found for them.
	data := []byte(`{"id":"V-9"`)
	for i := range 12 {
		data = fmt.Appendf(data, `,"noise%d":"%x"`, i, noise(4000))
	}
	data = append(data, '}')
	decoder, err := plainDecoder()
	if err != nil {
		t.Fatal(err)
	}
	rec, err := decoder.Decode("V-9", 1, data)
	if err != nil {
		t.Fatal(err)
	}
	add(t, a, rec, "1.0.0", verdict.Accepted)
	var packed []byte
	if err := a.db.QueryRow("SELECT packed FROM content WHERE digest = ?", rec.Digest()).Scan(&packed); err != nil {
		t.Fatal(err)
	}
	// The pages of a file may lie in any order; within one, bytes are together.
	pieces := func() (n int) {
		t.Helper()
		file, err := os.ReadFile(a.path)
		if err != nil {
			t.Fatal(err)
		}
		for piece := range slices.Chunk(packed, 32) {
			if len(piece) == 32 && bytes.Contains(file, piece) {
				n++
			}
		}
		return n
	}
	if n := pieces(); n < len(packed)/32*9/10 {
		t.Fatalf("only %d pieces of %d were found before", n, len(packed)/32)
	}
	if _, err := a.Redact(t.Context(), "V-9", Decision{By: "lead-02", On: "2026-06-01", Reason: "asked for"}); err != nil {
		t.Fatal(err)
	}
	if n := pieces(); n != 0 {
		t.Errorf("%d pieces of what was redacted are still in the file", n)
	}
}

// TestPoorLeavesAreRefused reads leaves that nobody here wrote.
func TestPoorLeavesAreRefused(t *testing.T) {
	for _, leaf := range []string{
		``, `[]`, `{}`, `{"schema":"archive-entry/2","kind":"visit","visit":"V-1","record":"r"}`,
		`{"schema":"archive-entry/1","kind":"visit","visit":"V-1"}`,
		`{"schema":"archive-entry/1","kind":"verdict","visit":"V-1","record":"r","verdict":"v"}`,
		`{"schema":"archive-entry/1","kind":"visit","visit":"V-1","record":"r","more":1}`,
	} {
		if _, err := decodeEntry(0, []byte(leaf)); err == nil {
			t.Errorf("%s is taken", leaf)
		}
	}
}

func TestADispositionIsOfAVisitNotAccepted(t *testing.T) {
	a, _ := filled(t, 3) // accepted, rejected, incomplete
	d := Decision{By: "lead-02", On: "2026-06-01", Reason: "cells were not read"}
	_, err := a.Dispose(t.Context(), "V-000", Repeat, d)
	refusal(t, err, "nothing to decide")
	_, err = a.Dispose(t.Context(), "V-001", "forget", d)
	refusal(t, err, "no disposition")
	_, err = a.Dispose(t.Context(), "V-001", Repeat, Decision{By: "lead-02", On: "2026-06-01"})
	refusal(t, err, "no reason")
	for _, id := range []string{"V-001", "V-002"} {
		for _, what := range []What{Repeat, AcceptAsLost} {
			if _, err := a.Dispose(t.Context(), id, what, d); err != nil {
				t.Fatal(err)
			}
		}
		v, err := a.Visit(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := v.Disposition(); !ok || got.What != AcceptAsLost {
			t.Errorf("%s: disposition %+v", id, got)
		}
	}
	sound(t, a)
}

func TestVisitsAreFiltered(t *testing.T) {
	a, _ := filled(t, page+8)
	for _, test := range []struct {
		f    Filter
		want int
	}{
		{Filter{}, page + 8},
		{Filter{Serials: []string{"WB-1"}}, page/2 + 4},
		{Filter{From: day(2), To: day(4)}, 3},
		{Filter{From: day(2), To: day(4), Serials: []string{"WB-0"}}, 2},
		{Filter{Releases: []string{"1.0.0"}, To: day(0)}, 1},
		{Filter{Releases: []string{"2.0.0"}}, 0},
		{Filter{Classes: []string{"no-such"}}, 0},
		{Filter{Sites: []string{"no-such"}}, 0},
	} {
		n := 0
		last := int64(-1)
		for v, err := range a.Visits(t.Context(), test.f) {
			if err != nil {
				t.Fatal(err)
			}
			if v.Entries[0].Index <= last {
				t.Fatalf("entry %d comes after %d", v.Entries[0].Index, last)
			}
			last = v.Entries[0].Index
			n++
		}
		if n != test.want {
			t.Errorf("%+v: %d visits, want %d", test.f, n, test.want)
		}
	}
}
