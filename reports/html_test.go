package reports

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// TestPageNames gives ids, however they are written, names that a file can have
// anywhere, each its own on a disk that does not tell capitals.
func TestPageNames(t *testing.T) {
	ids := []string{
		"V-0101", "v-0101", "V-0101 ", "../../etc/passwd", "..", ".", "", "CON", "con", "NUL.html", "aux", "a/b", "a\\b", "A:B",
		"Ä-1", "ä-1", "V-0101\n", "V\u202e0101", strings.Repeat("A", 300), strings.Repeat("A", 301), strings.Repeat("é", 300), "index", "INDEX",
	}
	h := pageNames{}
	seen := map[string]string{}
	for _, id := range ids {
		name := h.of(id)
		if before, twice := seen[strings.ToLower(name)]; twice {
			t.Errorf("%q and %q are both called %s", before, id, name)
		}
		seen[strings.ToLower(name)] = id
		if len(name) > 100 || strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789-_.") != "" || !strings.HasPrefix(name, "visit") || !strings.HasSuffix(name, ".html") || strings.Count(name, ".") != 1 {
			t.Errorf("%q is called %q", id, name)
		}
	}
	if got := (pageNames{}).of("V-0101"); got != "visit-v-0101.html" {
		t.Errorf("V-0101 is called %s", got)
	}
	if again := h.of("V-0101"); again != "visit-v-0101_2.html" {
		t.Errorf("V-0101 handed in again is called %s", again)
	}
}

// TestPageWithoutRecord lays out a verdict whose record is not at hand, and says
// so.
func TestPageWithoutRecord(t *testing.T) {
	var page bytes.Buffer
	h := NewHTML(HTMLOptions{Page: &page, Words: io.Discard})
	v := Visit{Verdict: &verdict.Verdict{
		Visit:          verdict.Visit{ID: "V-1", Serial: "M-1", Kind: "service", Level: "full", Started: "2026-05-04T08:00:00+02:00", Ended: "2026-05-04T09:00:00+02:00"},
		Acceptance:     verdict.Acceptance{Value: verdict.Accepted},
		Serviceability: verdict.Serviceable, Completion: verdict.Full,
	}}
	if err := h.Visit(v); err != nil {
		t.Fatal(err)
	}
	if err := h.End(Summary{}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"made from a saved verdict", "Nothing has to be put right", "<strong>accepted</strong>"} {
		if !strings.Contains(page.String(), want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if err := h.Visit(v); err == nil || !strings.Contains(err.Error(), "name a folder") {
		t.Errorf("a second visit on one page: %v", err)
	}
}

// failing is a page that cannot be written.
type failing struct{ at string }

func (f failing) Write(data []byte) (int, error) {
	if f.at == "write" {
		return 0, errFull
	}
	return len(data), nil
}

func (f failing) Close() error {
	if f.at == "close" {
		return errFull
	}
	return nil
}

var errFull = errors.New("the disk is full")

// TestPageErrors returns every error of writing.
func TestPageErrors(t *testing.T) {
	for _, at := range []string{"open", "write", "close"} {
		h := NewHTML(HTMLOptions{Words: io.Discard, Create: func(string) (io.WriteCloser, error) {
			if at == "open" {
				return nil, errFull
			}
			return failing{at}, nil
		}})
		err := h.Visit(Visit{Verdict: &verdict.Verdict{Visit: verdict.Visit{ID: "V-1"}}})
		if !errors.Is(err, errFull) {
			t.Errorf("%s: %v", at, err)
		}
		if err := h.End(Summary{}); !errors.Is(err, errFull) {
			t.Errorf("%s, at the end: %v", at, err)
		}
	}
}

// TestTrail keeps the latest visits of each machine in the order in which they
// started, however they are handed in, and one handed in again once.
func TestTrail(t *testing.T) {
	trail := trails{}
	visit := func(n int) *sheet.Sheet {
		s := &sheet.Sheet{Figures: &sheet.Figures{}}
		s.Visit.ID = fmt.Sprint("V-", n)
		s.Visit.Machine.Serial = "M-1"
		s.Visit.Started = fmt.Sprintf("2026-01-%02dT08:00:00Z", n)
		return s
	}
	for _, n := range []int{30, 2, 1, 3, 2} {
		trail.add(visit(n))
	}
	for n := 4; n < 30; n++ {
		trail.add(visit(n))
	}
	got := trail.upTo(visit(30))
	if len(got) != trailLength || got[0].visit != "V-7" || got[len(got)-1].visit != "V-30" {
		t.Errorf("%d visits from %s to %s", len(got), got[0].visit, got[len(got)-1].visit)
	}
	if got := trail.upTo(visit(10)); got[len(got)-1].visit != "V-10" || len(got) != 4 {
		t.Errorf("up to V-10: %d visits, the last %s", len(got), got[len(got)-1].visit)
	}
	if got := trail.upTo(visit(2)); len(got) != 0 {
		t.Errorf("up to a visit that is no longer kept: %d visits", len(got))
	}
}
