package archive

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

// TestDocumentsKeepToTheirSchemas makes an entry of every kind and both kinds of
// proof, and holds them against the schemas that others read.
func TestDocumentsKeepToTheirSchemas(t *testing.T) {
	valid := func(name string, data []byte) {
		t.Helper()
		s, err := schema.Compile(name)
		if err != nil {
			t.Fatal(err)
		}
		dec := json.NewDecoder(bytes.NewReader(data))
		dec.UseNumber()
		var doc any
		if err := dec.Decode(&doc); err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(doc); err != nil {
			t.Errorf("%s: %#v\n%s", name, err, data)
		}
	}
	a, records := filled(t, 3)
	w := newWorkshop()
	d := Decision{By: "lead-02", On: "2026-06-01", Reason: "asked for"}
	old, _, err := a.Checkpoint(t.Context(), "")
	if err != nil {
		t.Fatal(err)
	}
	again := Judgement{Verdict: judged(records[0], "1.1.0", verdict.Rejected), Why: "late", Concessions: [][]byte{[]byte("{}")}, Compared: records[0].Digest()}
	if _, err := a.AddVerdict(t.Context(), again); err != nil {
		t.Fatal(err)
	}
	if _, err := a.Dispose(t.Context(), "V-001", Repeat, d); err != nil {
		t.Fatal(err)
	}
	change := Change{Corrects: records[2].Digest(), By: d.By, On: d.On, Reason: d.Reason, Evidence: "photo"}
	if _, err := a.Add(t.Context(), w.record(t, "V-002", 4, "WB-1", nil), Receipt{Correction: &change}); err != nil {
		t.Fatal(err)
	}
	if _, err := a.Redact(t.Context(), "V-002", d); err != nil {
		t.Fatal(err)
	}
	kinds := map[Kind]bool{}
	for v, err := range a.Visits(t.Context(), Filter{}) {
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range v.Entries {
			kinds[e.Kind] = true
			leaf, err := e.Leaf()
			if err != nil {
				t.Fatal(err)
			}
			valid("archive-entry", leaf)
		}
		proof, err := a.Prove(t.Context(), v.ID, "")
		if err != nil {
			t.Fatal(err)
		}
		valid("archive-proof", proof)
	}
	if len(kinds) != 6 {
		t.Errorf("only entries of %v were made", kinds)
	}
	since, err := a.ProveSince(t.Context(), old, "")
	if err != nil {
		t.Fatal(err)
	}
	valid("archive-consistency", since)
}

// TestRetention tells what is past it by the latest verdict: the longest period
// of the kinds that a visit is of counts, and a kind that is not listed is kept.
func TestRetention(t *testing.T) {
	const text = `
schema: retention/1
periods:
  - {kind: accepted, months: 12, reason: contract}
  - {kind: not-accepted, months: 24, reason: disputes}
  - {kind: unserviceable, months: 60, reason: liability}
`
	r, err := ReadRetention("keep.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	visit := func(is verdict.AcceptanceValue, left verdict.Serviceability, edit ...Entry) Visit {
		v := Visit{Entries: []Entry{{Kind: VisitAdded, Record: "r", Ended: "2026-01-31T23:30:00-05:00"}}}
		if is != "" {
			v.Entries = append(v.Entries, Entry{Kind: Judged, Record: "r", Acceptance: is, Serviceability: left})
		}
		v.Entries = append(v.Entries, edit...)
		return v
	}
	for _, test := range []struct {
		v     Visit
		first string // the first day past it; empty for never
	}{
		{visit(verdict.Accepted, verdict.Serviceable), "2027-01-31"},
		{visit(verdict.Incomplete, verdict.Serviceable), "2028-01-31"},
		{visit(verdict.Accepted, verdict.Unserviceable), "2031-01-31"},
		{visit(verdict.Rejected, verdict.Unserviceable), "2031-01-31"},
		{visit("", ""), ""},
		{visit(verdict.Accepted, verdict.Serviceable, Entry{Kind: Redaction}), ""},
	} {
		for _, on := range []string{"2027-01-30", "2027-01-31", "2028-01-30", "2028-01-31", "2031-01-30", "2031-01-31", "2090-01-01"} {
			want := test.first != "" && on >= test.first
			if why, past := r.Past(test.v, on); past != want || past == (why == "") {
				t.Errorf("%+v on %s: %t (%s), want %t", test.v.Entries, on, past, why, want)
			}
		}
	}
	for _, wrong := range []string{
		"", "schema: retention/1", "a: [", "schema: retention/1\nperiods: []\n", text + "---\n" + text,
		"schema: retention/1\nperiods: [{kind: accepted, months: 1.5, reason: x}]\n",
		"schema: retention/1\nperiods: [{kind: accepted, months: 1, reason: x}, {kind: accepted, months: 2, reason: x}]\n",
		"schema: retention/1\nperiods: [{kind: all, months: 1, reason: x}]\n",
	} {
		if _, err := ReadRetention("keep.yaml", []byte(wrong)); err == nil {
			t.Errorf("%q is taken", wrong)
		}
	}
}
