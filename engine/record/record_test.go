package record

import (
	"errors"
	"os"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"github.com/visitgauge/visitgauge/schema"
)

// visitSchema reads the schema of a visit once for all tests.
var visitSchema = sync.OnceValue(func() *jsonschema.Schema {
	s, err := schema.Compile("visit")
	if err != nil {
		panic(err)
	}
	return s
})

// goodVisit returns a record that is accepted. It is invented.
var goodVisit = sync.OnceValue(func() string {
	data, err := os.ReadFile("testdata/visit.json")
	if err != nil {
		panic(err)
	}
	return string(data)
})

// altered returns the good record with the first old text in it replaced.
func altered(t testing.TB, old, new string) string {
	t.Helper()
	if !strings.Contains(goodVisit(), old) {
		t.Fatalf("the good record does not contain %q", old)
	}
	return strings.Replace(goodVisit(), old, new, 1)
}

// decodeProblems returns the problems of a record, which must have some.
func decodeProblems(t testing.TB, d *Decoder, data string) Problems {
	t.Helper()
	r, err := d.Decode("visit.json", 1, []byte(data))
	var ps Problems
	if !errors.As(err, &ps) || len(ps) == 0 || r != nil {
		t.Fatalf("decoding %.80q: record %v, error %v, want problems alone", data, r != nil, err)
	}
	return ps
}

func TestRecord(t *testing.T) {
	r, err := NewDecoder(visitSchema(), Limits{}).Decode("visit.json", 1, []byte(goodVisit()))
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct{ got, want string }{
		"ID":       {r.ID(), "V-0001"},
		"Serial":   {r.Serial(), "WB-1107"},
		"Class":    {r.Class(), "walk-behind-flooded"},
		"Kind":     {r.Kind(), "service"},
		"Level":    {r.Level(), "full"},
		"EndedAs":  {r.EndedAs(), "completed"},
		"LocalDay": {r.LocalDay(), "2026-05-04"},
		"Started":  {r.Started().Format(time.RFC3339), "2026-05-04T08:00:00+02:00"},
		"Ended":    {r.Ended().Format(time.RFC3339), "2026-05-04T09:30:00+02:00"},
	} {
		if c.got != c.want {
			t.Errorf("%s = %q, want %q", name, c.got, c.want)
		}
	}
	if string(r.Raw()) != goodVisit() {
		t.Error("Raw is not what was handed in")
	}
	if v := r.Value()["id"]; v != "V-0001" {
		t.Errorf("Value has the id %v", v)
	}
}

// LocalDay is the day as written: at half past midnight in a place east of
// Greenwich it is still yesterday in UTC.
func TestLocalDayIsAsWritten(t *testing.T) {
	for _, c := range []struct{ started, day string }{
		{"2026-05-04T00:30:00+02:00", "2026-05-04"},
		{"2026-05-03T22:30:00-05:00", "2026-05-03"},
		{"2026-05-03T23:59:59.999999999Z", "2026-05-03"},
	} {
		data := altered(t, `"started": "2026-05-04T08:00:00+02:00"`, `"started": "`+c.started+`"`)
		r, err := NewDecoder(visitSchema(), Limits{}).Decode("visit.json", 1, []byte(data))
		if err != nil {
			t.Fatal(err)
		}
		if r.LocalDay() != c.day {
			t.Errorf("started %s: local day %s, want %s", c.started, r.LocalDay(), c.day)
		}
	}
}

// The sums of the empty text and of "abc" are those of the examples that NIST
// publishes with FIPS 180-4 (from memory; coreutils' sha256sum agrees).
func TestDigest(t *testing.T) {
	for text, want := range map[string]string{
		"":    "sha256:e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
		"abc": "sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
	} {
		if got := newRecord(nil, []byte(text), 1).Digest(); got != want {
			t.Errorf("digest of %q is %s, want %s", text, got, want)
		}
	}
}

func TestText(t *testing.T) {
	r, err := NewDecoder(visitSchema(), Limits{}).Decode("visit.json", 1, []byte(goodVisit()))
	if err != nil {
		t.Fatal(err)
	}
	for pointer, want := range map[string]string{
		"/battery/cells/0/gravity/as_found/value": "1.270", // the last place is kept
		"/battery/cells/0/gravity/as_found/unit":  "sg",
		"/battery/cells/0/over_mark_found":        "false",
		"/instruments/0/measures/0/low":           "1.100",
		"/note":                                   "Invented record. Grüße, 20 °C in the room.",
	} {
		if got, ok := r.Text(pointer); !ok || got != want {
			t.Errorf("Text(%q) = %q, %t, want %q", pointer, got, ok, want)
		}
	}
	for _, pointer := range []string{
		"", "/battery", "/battery/cells", "/battery/cells/99", "/battery/cells/00", "/battery/cells/-", "/battery/cells/x",
		"/nothing", "id", "/id/0", "/id~2", "/id~",
	} {
		if got, ok := r.Text(pointer); ok {
			t.Errorf("Text(%q) = %q, want none", pointer, got)
		}
	}
}

func TestPosition(t *testing.T) {
	const text = "{\n  \"ö\": {\"b\":  [1, \"€\", {\"c\" : true}]},\r\n\t\"a/b\":null, \"m~n\": 1, \"\": 2\n}"
	r := newRecord(nil, []byte(text), 41)
	for pointer, want := range map[string][2]int{
		"":         {41, 1},
		"/ö":       {42, 8},
		"/ö/b":     {42, 15},
		"/ö/b/0":   {42, 16},
		"/ö/b/1":   {42, 19},
		"/ö/b/2":   {42, 24}, // columns count characters: € is one
		"/ö/b/2/c": {42, 31},
		"/a~1b":    {43, 8},
		"/m~0n":    {43, 21},
		"/":        {43, 28},
	} {
		line, column, ok := r.Position(pointer)
		if !ok || line != want[0] || column != want[1] {
			t.Errorf("Position(%q) = %d, %d, %t, want %v", pointer, line, column, ok, want)
		}
	}
	for _, pointer := range []string{"/x", "/ö/b/3", "ö", "/a/b", "/m~n", "#/ö"} {
		if line, column, ok := r.Position(pointer); ok {
			t.Errorf("Position(%q) = %d, %d, want none", pointer, line, column)
		}
	}
}

// Every value of a record has a position, and at that position stands what
// Text gives for it.
func TestPositionOfEveryValue(t *testing.T) {
	r, err := NewDecoder(visitSchema(), Limits{}).Decode("visit.json", 1, []byte(goodVisit()))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(goodVisit(), "\n")
	count := 0
	var walk func(p path, v any)
	walk = func(p path, v any) {
		line, column, ok := r.Position(p.pointer())
		if !ok {
			t.Errorf("%s has no position", p.pointer())
			return
		}
		rest := string([]rune(lines[line-1])[column-1:])
		want := ""
		switch v := v.(type) {
		case map[string]any:
			want = "{"
			for key, member := range v {
				walk(p.with(key), member)
			}
		case []any:
			want = "["
			for i, element := range v {
				walk(p.with(strconv.Itoa(i)), element)
			}
		default:
			count++
			want, _ = r.Text(p.pointer())
			if _, isText := v.(string); isText {
				want = `"` + want
			}
		}
		if !strings.HasPrefix(rest, want) {
			t.Errorf("%s: at its position stands %.20q, want %.20q", p.pointer(), rest, want)
		}
	}
	walk(nil, r.Value())
	if count < 300 {
		t.Errorf("%d values were looked at, want all of them", count)
	}
}
