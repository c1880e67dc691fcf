package intake_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"iter"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/intake"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/schema"
)

const received = "2026-05-04T17:00:00+02:00"

// bench is an archive with all that is needed to hand visits in. The rules are
// those of the smallest release: what visits are compared with stands in a verdict
// whatever the rules ask.
type bench struct {
	t       *testing.T
	archive *archive.Archive
	opt     intake.Options
	base    []byte
}

func newBench(t *testing.T) *bench { return benchWith(t, os.DirFS("../ruleset/testdata/small")) }

func benchWith(t *testing.T, release fs.FS) *bench {
	t.Helper()
	base, err := os.ReadFile("../../cmd/visitgauge/testdata/visit.json")
	if err != nil {
		t.Fatal(err)
	}
	visits, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	a, err := archive.Open(t.Context(), filepath.Join(t.TempDir(), "visits.archive"), archive.Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = a.Close() })
	b := &bench{t: t, archive: a, base: base, opt: intake.Options{Archive: a}}
	b.opt.Decoder, b.opt.Rules = record.NewDecoder(visits, record.Limits{}), stream.ByFolder(release, true)
	b.opt.Received, b.opt.Workers = received, 2
	return b
}

// day counts on from the third of January 2026.
func day(n int) string {
	return time.Date(2026, 1, 3+n, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
}

// visit is the bytes of a visit of a day. It raises an item of its own, which the
// visits after it are told of.
func (b *bench) visit(id string, on int, serial string) []byte {
	b.t.Helper()
	dec := json.NewDecoder(bytes.NewReader(b.base))
	dec.UseNumber()
	var doc map[string]any
	if err := dec.Decode(&doc); err != nil {
		b.t.Fatal(err)
	}
	doc["id"], doc["started"], doc["ended"] = id, day(on)+"T08:00:00+02:00", day(on)+"T09:30:00+02:00"
	doc["machine"].(map[string]any)["serial"] = serial
	doc["tags_placed"] = []any{map[string]any{"tag": "T-" + id, "signal_word": "danger", "message": "do not use", "place": "key switch",
		"key_withheld": true, "isolated": true, "at": day(on) + "T09:00:00+02:00", "about": []any{"battery"}}}
	data, err := json.Marshal(doc)
	if err != nil {
		b.t.Fatal(err)
	}
	return data
}

func items(visits ...[]byte) iter.Seq[record.Item] {
	return func(yield func(record.Item) bool) {
		for i, data := range visits {
			if !yield(record.Item{Source: "test", FirstLine: i + 1, Data: data}) {
				return
			}
		}
	}
}

// check hands visits in and returns, in short, what was told.
func (b *bench) check(visits ...[]byte) (told, again []string) {
	b.t.Helper()
	err := intake.Check(b.t.Context(), items(visits...), b.opt, func(r stream.Result) error {
		if r.Verdict == nil {
			told = append(told, "refused: "+r.Problems[0].Message)
			return nil
		}
		told = append(told, r.Verdict.Visit.ID)
		// What is told of is there.
		if _, err := b.archive.Visit(b.t.Context(), r.Verdict.Visit.ID); err != nil {
			b.t.Error(err)
		}
		return nil
	}, collect(&again))
	if err != nil {
		b.t.Fatal(err)
	}
	b.sound()
	return told, again
}

func collect(into *[]string) func(intake.Again) error {
	return func(a intake.Again) error {
		line := a.Visit + ": " + a.Why
		if a.Not != "" {
			line += "; not: " + a.Not
		} else if a.Is.Kind == archive.Rejudged && a.Is.Verdict != a.Was.Verdict {
			line += "; judged"
		}
		*into = append(*into, line)
		return nil
	}
}

func (b *bench) sound() {
	b.t.Helper()
	v, err := b.archive.Verify(b.t.Context())
	if err != nil || len(v.Findings) > 0 {
		b.t.Fatalf("the archive is not as written: %+v, %v", v.Findings, err)
	}
}

func (b *bench) entry(id string) archive.Visit {
	b.t.Helper()
	v, err := b.archive.Visit(b.t.Context(), id)
	if err != nil {
		b.t.Fatal(err)
	}
	return v
}

// verdicts is the bytes of the latest verdict of each visit.
func (b *bench) verdicts() map[string]string {
	b.t.Helper()
	out := map[string]string{}
	for v, err := range b.archive.Visits(b.t.Context(), archive.Filter{}) {
		if err != nil {
			b.t.Fatal(err)
		}
		judged, ok := v.Verdict()
		if !ok {
			b.t.Fatalf("%s has no verdict", v.ID)
		}
		data, err := b.archive.Bytes(b.t.Context(), judged.Verdict)
		if err != nil {
			b.t.Fatal(err)
		}
		out[v.ID] = string(data)
	}
	return out
}

func want(t *testing.T, what string, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("%s: %q, want %q", what, got, want)
	}
}

// TestLateHandIn hands a visit in after one that came later: that is judged again,
// and both verdicts stay.
func TestLateHandIn(t *testing.T) {
	b := newBench(t)
	told, again := b.check(b.visit("V-1", 0, "M-1"), b.visit("V-3", 20, "M-1"), b.visit("X-1", 21, "M-2"))
	want(t, "told", told, "V-1", "V-3", "X-1")
	want(t, "judged again", again)
	told, again = b.check(b.visit("V-2", 10, "M-1"))
	want(t, "told", told, "V-2")
	want(t, "judged again", again, "V-3: visit V-2 was handed in after it was judged; judged")
	v := b.entry("V-3")
	if len(v.Entries) != 3 || v.Entries[2].Kind != archive.Rejudged || v.Entries[2].Follows != v.Entries[1].Verdict {
		t.Fatalf("entries %+v", v.Entries)
	}
	for i, last := range map[int]string{1: "V-1", 2: "V-2"} {
		data, err := b.archive.Bytes(t.Context(), v.Entries[i].Verdict)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(data), `"slot":"last_visit","visit":"`+last+`"`) {
			t.Errorf("verdict %d is not compared with %s", i, last)
		}
	}
	if n := len(b.entry("X-1").Entries); n != 2 {
		t.Errorf("a visit of another machine has %d entries", n)
	}
	// Again, nothing is left to do.
	_, again = b.check(b.visit("V-2", 10, "M-1"))
	want(t, "judged again", again)
}

// TestAddingJudgesAgain archives a late visit without judging it.
func TestAddingJudgesAgain(t *testing.T) {
	b := newBench(t)
	b.check(b.visit("V-3", 20, "M-1"))
	var told, again []string
	err := intake.Add(t.Context(), items(b.visit("V-2", 10, "M-1"), []byte("{}"), b.visit("V-2", 11, "M-1"), b.visit("V-2", 10, "M-1")), b.opt, func(r intake.Told) error {
		switch {
		case r.Problems != nil:
			told = append(told, "refused")
		case r.Added.Already:
			told = append(told, "already")
		default:
			told = append(told, r.Added.Entry.Visit)
		}
		return nil
	}, collect(&again))
	if err != nil {
		t.Fatal(err)
	}
	b.sound()
	want(t, "told", told, "V-2", "refused", "refused", "already")
	want(t, "judged again", again, "V-3: visit V-2 was handed in after it was judged; judged")
}

// TestCorrectionChangesBothMachines says that a visit was of another machine: the
// later visits of both are judged again.
func TestCorrectionChangesBothMachines(t *testing.T) {
	b := newBench(t)
	wrong := b.visit("V-1", 0, "M-1")
	b.check(wrong, b.visit("V-2", 10, "M-1"), b.visit("W-2", 10, "M-2"))
	told, _ := b.check(b.visit("V-1", 0, "M-2"))
	if len(told) != 1 || !strings.Contains(told[0], "another record with this id is entry 0") {
		t.Errorf("told %q", told)
	}
	b.opt.Correction = &archive.Change{Corrects: record.Digest(wrong), By: "lead-02", On: "2026-05-05", Reason: "wrong machine", Evidence: "photo"}
	told, again := b.check(b.visit("V-1", 0, "M-2"))
	want(t, "told", told, "V-1")
	want(t, "judged again", again,
		"V-2: visit V-1 was corrected after it was judged; judged", "W-2: visit V-1 was corrected after it was judged; judged")
	verdicts := b.verdicts()
	if strings.Contains(verdicts["V-2"], `"slot":"last_visit"`) || !strings.Contains(verdicts["W-2"], `"slot":"last_visit","visit":"V-1"`) {
		t.Errorf("compared with the wrong visits:\n%s\n%s", verdicts["V-2"], verdicts["W-2"])
	}
}

// TestOrderPlaysNoPart hands the same visits in, in several orders, in one run and
// in many: in the end each has the same verdict, byte for byte.
func TestOrderPlaysNoPart(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	var first map[string]string
	for round := range 5 {
		b := newBench(t)
		var visits [][]byte
		for n := range 12 {
			visits = append(visits, b.visit(fmt.Sprintf("V-%02d", n), 3*n, fmt.Sprintf("M-%d", n%2)))
		}
		switch round {
		case 0:
		case 1:
			slices.Reverse(visits)
		default:
			random.Shuffle(len(visits), func(i, j int) { visits[i], visits[j] = visits[j], visits[i] })
		}
		if round%2 == 0 {
			b.check(visits...)
		} else {
			for part := range slices.Chunk(visits, 4) {
				b.check(part...)
			}
		}
		got := b.verdicts()
		if first == nil {
			first = got
			continue
		}
		for id, verdict := range first {
			if got[id] != verdict {
				t.Errorf("round %d: %s has another verdict:\n%s\n%s", round, id, got[id], verdict)
			}
		}
	}
	if len(first) != 12 {
		t.Errorf("%d verdicts", len(first))
	}
}

// TestWhatCannotBeJudgedAgain takes away what is needed for it.
func TestWhatCannotBeJudgedAgain(t *testing.T) {
	b := newBench(t)
	b.check(b.visit("V-1", 0, "M-1"), b.visit("V-3", 20, "M-1"))
	if _, err := b.archive.Redact(t.Context(), "V-1", archive.Decision{By: "lead-02", On: "2026-06-01", Reason: "asked for"}); err != nil {
		t.Fatal(err)
	}
	_, again := b.check(b.visit("V-2", 10, "M-1"))
	want(t, "judged again", again, "V-3: visit V-2 was handed in after it was judged; not: visit V-1, which came before it, was redacted")

	// The rules have changed since.
	b = newBench(t)
	b.check(b.visit("V-3", 20, "M-1"))
	changed := t.TempDir()
	if err := os.CopyFS(changed, os.DirFS("../ruleset/testdata/small")); err != nil {
		t.Fatal(err)
	}
	limits := filepath.Join(changed, "limits.yaml")
	text, err := os.ReadFile(limits)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(limits, append(text, "# changed\n"...), 0o666); err != nil {
		t.Fatal(err)
	}
	b.opt.Rules = stream.ByFolder(os.DirFS(changed), true)
	_, again = b.check(b.visit("V-2", 10, "M-1"))
	if len(again) != 1 || !strings.Contains(again[0], "not: finding release folder h1:") && !strings.Contains(again[0], "what there is now is") {
		t.Errorf("judged again: %q", again)
	}
}

// TestConcessionsAreKept judges with a concession, and again without being given
// it: it still counts.
func TestConcessionsAreKept(t *testing.T) {
	b := newBench(t)
	b.opt.Concessions = []judge.Concession{{Schema: "concession/1", ID: "C-1", Kind: judge.AfterTheFact, Visit: "V-3", Rule: "no.such.rule", Subject: "visit",
		Release: "folder", Reason: "none", Instead: "none", From: day(0), To: day(40), GrantedBy: "lead-02", GrantedRole: "lead", GrantedOn: day(21)}}
	b.check(b.visit("V-3", 20, "M-1"))
	if e, _ := b.entry("V-3").Verdict(); len(e.Concessions) != 1 {
		t.Fatalf("kept %q", e.Concessions)
	}
	b.opt.Concessions = nil
	_, again := b.check(b.visit("V-2", 10, "M-1"))
	want(t, "judged again", again, "V-3: visit V-2 was handed in after it was judged; judged")
	if v := b.verdicts()["V-3"]; !strings.Contains(v, `"ignored":[{"id":"C-1"`) {
		t.Errorf("the concession was forgotten: %s", v)
	}
}

// TestOneIDTwice hands in two records under one id.
func TestOneIDTwice(t *testing.T) {
	b := newBench(t)
	one := b.visit("V-1", 0, "M-1")
	told, _ := b.check(one, b.visit("V-1", 1, "M-1"), one, b.visit("V-2", 2, "M-1"))
	if len(told) != 4 || told[0] != "V-1" || told[2] != "V-1" || told[3] != "V-2" || !strings.HasPrefix(told[1], "refused: another record with th") {
		t.Errorf("told %q", told)
	}
	if n := len(b.entry("V-1").Entries); n != 2 {
		t.Errorf("%d entries, want a record and a verdict", n)
	}
	if !strings.Contains(b.verdicts()["V-2"], `"slot":"last_visit","visit":"V-1"`) {
		t.Error("the visit after it is not compared with it")
	}
}
