package record

import (
	"fmt"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
)

// problemAt finds a problem by its pointer.
func problemAt(ps Problems, pointer string) (Problem, bool) {
	for _, p := range ps {
		if p.Pointer == pointer {
			return p, true
		}
	}
	return Problem{}, false
}

// What people get wrong in a visit must be told in words that help. Wording as
// such is tested in TestProblems; here it is the schema of a visit that must
// lead to it.
func TestVisitProblems(t *testing.T) {
	const torque = `{"value": 95, "unit": "in.lbf", "instrument": "tw-1", "method": "read", "result": "value"}`
	for _, c := range []struct {
		name, old, new         string
		pointer, message, mend string // of the one problem there must be
	}{
		{"wrong unit", torque, strings.Replace(torque, "in.lbf", "kg", 1),
			"/battery/posts/0/torque/as_found/unit", `torque is given in "kg"`, "use in.lbf, ft.lbf or N.m"},
		{"unit spelt otherwise", torque, strings.Replace(torque, "in.lbf", "N·m", 1),
			"/battery/posts/0/torque/as_found/unit", `torque is given in "N·m"`, "write N.m for it"},
		{"gravity too large", "1.272", "12.60",
			"/battery/cells/2/gravity/as_found/value", "12.60 is more than the largest value allowed, 1.835", "unit"},
		{"gravity in points", "1.272", "1272",
			"/battery/cells/2/gravity/as_found/value", "1272 is more than", "1.272"},
		{"cell twice", `"cell": "B2.1"`, `"cell": "B1.2"`,
			"/battery/cells/3/cell", `cell "B1.2" occurs twice in "cells", first in line `, "keep the element that is right"},
		{"time without offset", `"started": "2026-05-04T08:00:00+02:00"`, `"started": "2026-05-04T08:00:00"`,
			"/started", "has no offset from UTC", "2026-05-04T08:10:00+02:00"},
		{"day that does not exist", `"due": "2026-06-04"`, `"due": "2026-06-31"`,
			"/follow_ups/0/due", "is not a day of the calendar", "year, month and day"},
		{"near miss", `"clarity"`, `"clarty"`,
			"/battery/cells/0/clarty", `unknown field "clarty"`, `did you mean "clarity"?`},
		{"another version", `"visit/1"`, `"visit/99"`,
			"/schema", `"visit/99" is a record schema that is not known here`, `"visit/1"`},
		{"field twice", `"kind": "service"`, `"kind": "service", "kind": "repair"`,
			"/kind", `the field "kind" is given twice`, "keep the one that is right"},
		{"stopped without a stop", `"ended_as": "completed"`, `"ended_as": "stopped-unsafe"`,
			"", `"stop" is missing, where "ended_as" is "stopped-unsafe"`, "add it"},
		{"no reading and no reason", `{"as_found": {"value": 1.272, "unit": "sg", "instrument": "hy-1"}}`, `{}`,
			"/battery/cells/2/gravity", `"as_found" is not given, and "not_obtained" is missing`, `give "as_found", or else "not_obtained"`},
		{"calibrated without certificate", `"certificate": "C-2026-hy-1",`, ``,
			"/instruments/0", `"certificate" is missing, where "kind" is "calibrated"`, "add it"},
		{"reading without instrument", `{"value": 1.272, "unit": "sg", "instrument": "hy-1"}`, `{"value": 1.272, "unit": "sg"}`,
			"/battery/cells/2/gravity/as_found", `"instrument" is missing`, "add it"},
	} {
		t.Run(c.name, func(t *testing.T) {
			ps := decodeProblems(t, NewDecoder(visitSchema(), Limits{}), altered(t, c.old, c.new))
			if len(ps) != 1 {
				t.Fatalf("there are %d problems, want one:\n%v", len(ps), ps)
			}
			p := ps[0]
			if p.Pointer != c.pointer || !strings.Contains(p.Message, c.message) || !strings.Contains(p.Mend, c.mend) {
				t.Errorf("the problem is %v\n%s\nwant %s: %s\n%s", p, p.Mend, c.pointer, c.message, c.mend)
			}
			// The first character that differs lies in the line that is named,
			// unless something is missing, which lies nowhere.
			if !strings.Contains(p.Message, "missing") {
				lines := strings.Split(altered(t, c.old, c.new), "\n")
				good := strings.Split(goodVisit(), "\n")
				if lines[p.Line-1] == good[p.Line-1] {
					t.Errorf("line %d is as in the good record: %s", p.Line, lines[p.Line-1])
				}
			}
		})
	}
}

// Bytes that are no JSON text, or too much of it.
func TestBadBytes(t *testing.T) {
	for _, c := range []struct {
		name, data, message string
		line, column        int
	}{
		{"empty", "", "the record is empty", 1, 1},
		{"blank", " \n\n ", "the record is empty", 1, 1},
		{"byte order mark", "\xef\xbb\xbf" + goodVisit(), "byte order mark", 1, 1},
		{"UTF-16, little end first", "\xff\xfe{\x00}\x00", "UTF-16", 1, 1},
		{"UTF-16, big end first", "\xfe\xff\x00{\x00}", "UTF-16", 1, 1},
		{"UTF-16 without mark", "{\x00}\x00", "byte of value zero", 1, 2},
		{"binary", "\x7fELF\x02\x01\x01\x00\x00", "byte of value zero", 1, 8},
		{"image", "\x89PNG\r\n\x1a\n", "0x89 is not UTF-8", 1, 1},
		{"Latin-1", altered(t, "Grüße", "Gr\xfc\xdfe"), "0xfc is not UTF-8", strings.Count(goodVisit(), "\n") - 1, 31},
		{"overlong slash", "\"\xc0\xaf\"", "0xc0 is not UTF-8", 1, 2},
		{"surrogate in UTF-8", "\"\xed\xa0\x80\"", "0xed is not UTF-8", 1, 2},
		{"cut in a character", "\"\xe2\x82", "0xe2 is not UTF-8", 1, 2},
		{"10,000 levels", strings.Repeat("[", 10_000) + strings.Repeat("]", 10_000), "more than 32 levels", 1, 33},
		{"10,000 levels of objects", strings.Repeat(`{"a":`, 10_000) + "1" + strings.Repeat("}", 10_000), "more than 32 levels", 1, 161},
		{"lone brackets", strings.Repeat("[", 10_000), "more than 32 levels", 1, 33},
		{"many elements", "[" + strings.Repeat("1,", 20_000) + "1]", "more than 10000 elements", 1, 20002},
	} {
		t.Run(c.name, func(t *testing.T) {
			ps := decodeProblems(t, NewDecoder(visitSchema(), Limits{}), c.data)
			p := ps[0]
			if len(ps) != 1 || !strings.Contains(p.Message, c.message) || p.Mend == "" || p.Line != c.line || p.Column != c.column {
				t.Errorf("problems are\n%v\nwant %s at line %d, column %d", ps, c.message, c.line, c.column)
			}
		})
	}
}

// A hundred megabytes are refused without being looked at.
func TestHugeStringIsCheap(t *testing.T) {
	data := []byte(`"` + strings.Repeat("a", 100_000_000) + `"`)
	d := NewDecoder(visitSchema(), Limits{})
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := d.Decode("huge.json", 1, data)
	runtime.ReadMemStats(&after)
	if err == nil || !strings.Contains(err.Error(), "more than 4194304 bytes") {
		t.Errorf("error is %v", err)
	}
	if used := after.TotalAlloc - before.TotalAlloc; used > 1<<20 {
		t.Errorf("refusing it took %d bytes of memory", used)
	}
}

// Within the limit of bytes a long string is refused with everything else that
// is wrong.
func TestLongString(t *testing.T) {
	data := altered(t, `"note": "Invented`, `"id": 1, "note": "`+strings.Repeat("ü", 1_000_000))
	ps := decodeProblems(t, NewDecoder(visitSchema(), Limits{}), data)
	if p, ok := problemAt(ps, "/note"); !ok || !strings.Contains(p.Message, "more than 10000") || len(ps) != 2 {
		t.Errorf("problems are\n%.2000v", ps)
	}
}

func TestLimitsAreInclusive(t *testing.T) {
	const data = `{"schema": "small/1", "id": "V-1", "about": ["abcdefghij", "b"]}`
	for _, c := range []struct {
		name string
		lim  Limits
		ok   bool
	}{
		{"bytes", Limits{Bytes: int64(len(data))}, true},
		{"a byte less", Limits{Bytes: int64(len(data)) - 1}, false},
		{"levels", Limits{Depth: 2}, true},
		{"a level less", Limits{Depth: 1}, false},
		{"characters", Limits{String: 10}, true},
		{"a character less", Limits{String: 9}, false},
		{"members", Limits{Members: 3}, true},
		{"a member less", Limits{Members: 2}, false},
		{"none given", Limits{}, true},
	} {
		if _, err := NewDecoder(smallSchema(), c.lim).Decode("small.json", 1, []byte(data)); (err == nil) != c.ok {
			t.Errorf("%s: %v, want accepted %t", c.name, err, c.ok)
		}
	}
}

// All problems of a record are reported, in the order of the document.
func TestAllProblemsInOrder(t *testing.T) {
	data := goodVisit()
	for _, change := range [][2]string{
		{`"id": "V-0001"`, `"id": 1`},
		{`"kind": "service"`, `"kind": "servise"`},
		{`"first_visit": true`, `"first_visit": "yes"`},
		{`"value": 412.3`, `"value": 4.123e2`},
		{`"value": 6.34`, `"value": -0`},
		{`"clarity": "clear"`, `"clarrity": "clear"`},
		{`"what": "fit`, `"wot": "fit`},
		{`"role": "shift lead"`, `"role": ""`},
	} {
		if !strings.Contains(data, change[0]) {
			t.Fatalf("the record lacks %s", change[0])
		}
		data = strings.Replace(data, change[0], change[1], 1)
	}
	ps := decodeProblems(t, NewDecoder(visitSchema(), Limits{}), data)
	var got []string
	for i, p := range ps {
		got = append(got, p.Pointer)
		if i > 0 && (ps[i-1].Line > p.Line || ps[i-1].Line == p.Line && ps[i-1].Column > p.Column) {
			t.Errorf("%v comes after %v", p, ps[i-1])
		}
	}
	want := []string{
		"/id", "/kind", "/first_visit", "/meters/0/reading/as_found/value", "/battery/blocks/0/voltage/as_found/value",
		"/battery/cells/0/clarrity", "/follow_ups/0", "/follow_ups/0/wot", "/signatures/customer/role",
	}
	if !slices.Equal(got, want) {
		t.Errorf("problems are at %q, want %q\n%v", got, want, ps)
	}
}

func TestManyProblemsAreCounted(t *testing.T) {
	data := `{"schema": "small/1", "id": "V-1", "about": [` + strings.Repeat("1, ", 4999) + `1]}`
	ps := decodeProblems(t, NewDecoder(smallSchema(), Limits{}), data)
	// 5,000 elements of the wrong type, and one array that is too long.
	if len(ps) != MaxProblems+1 || !strings.Contains(ps[MaxProblems].Message, "4001 more problems") {
		t.Errorf("%d problems, the last is %v", len(ps), ps[len(ps)-1])
	}
}

// In a stream, lines count from the start of the stream.
func TestFirstLine(t *testing.T) {
	_, err := NewDecoder(smallSchema(), Limits{}).Decode("small.jsonl", 17, []byte("{\"schema\": \"small/1\",\n\"id\": 4}"))
	ps, _ := err.(Problems)
	if len(ps) != 1 || ps[0].Line != 18 || ps[0].Column != 7 || ps[0].Source != "small.jsonl" {
		t.Errorf("problems are %v", ps)
	}
}

// A record is printed on terminals, and may come from anybody.
func TestProblemsHoldNoControlCharacters(t *testing.T) {
	for _, data := range []string{
		`{"schema": "small/1", "id": "V-1", "\u001b[2J": 1}`,
		`{"schema": "small/1", "id": "\u001b[2J"}`,
		`{"schema": "small/1", "kind": "\u009b2J\u202e"}`,
		"{\"schema\": \"small/1\", \x1b[2J}",
		"{\"schema\": \"\\\x1b[2J\"}",
		"{\"schema\": \"small/1\", \"id\": \u202e}",
	} {
		_, err := NewDecoder(smallSchema(), Limits{}).Decode("a\x1b[2J.json", 1, []byte(data))
		if err == nil {
			t.Errorf("%q is accepted", data)
			continue
		}
		for _, r := range err.Error() {
			if r != '\n' && (r < ' ' || r >= 0x7f && r < 0xa0 || r == 0x202e) {
				t.Errorf("%q: the error holds %U: %q", data, r, err.Error())
			}
		}
	}
}

// The library gives its findings in an order that changes from run to run; what
// is made of them must not.
func TestProblemsAreReproducible(t *testing.T) {
	data := strings.NewReplacer(`"as_found"`, `"asfound"`, `"B1.1"`, `"B1.2"`, `1.268`, `1e0`, `"ended_as"`, `"endedas"`, `"sound"`, `"sond"`).Replace(goodVisit())
	d := NewDecoder(visitSchema(), Limits{})
	first := decodeProblems(t, d, data)
	for range 20 {
		if again := decodeProblems(t, d, data); !reflect.DeepEqual(first, again) {
			t.Fatal("two runs over the same record differ")
		}
	}
	if len(first) < 20 {
		t.Errorf("there are %d problems only", len(first))
	}
}

// A decoder is shared by workers.
func TestDecoderIsShared(t *testing.T) {
	d := NewDecoder(visitSchema(), Limits{})
	bad := altered(t, `"clarity"`, `"clarty"`)
	want := fmt.Sprint(decodeProblems(t, NewDecoder(visitSchema(), Limits{}), bad))
	var workers sync.WaitGroup
	for range 4 {
		workers.Go(func() {
			for range 5 {
				r, err := d.Decode("visit.json", 1, []byte(goodVisit()))
				if err != nil || r.Digest() == "" {
					t.Errorf("the good record: %v", err)
				}
				if _, err := d.Decode("visit.json", 1, []byte(bad)); fmt.Sprint(err) != want {
					t.Errorf("problems are\n%v\nwant\n%s", err, want)
				}
			}
		})
	}
	workers.Wait()
}

// Every field that may be removed from the good record gives either a record
// that is accepted or problems that lie in the object it was removed from.
func TestRemovalsAreToldWhereTheyAre(t *testing.T) {
	v, flaws := scan([]byte(goodVisit()), Limits{}.filled())
	if len(flaws) > 0 {
		t.Fatal(flaws)
	}
	d := NewDecoder(visitSchema(), Limits{})
	tried, refused := 0, 0
	for pointer := range locate([]byte(goodVisit())) {
		p, _ := parsePointer(pointer)
		if len(p) == 0 {
			continue
		}
		parent, _ := descend(v, p[:len(p)-1])
		object, ok := parent.(map[string]any)
		if !ok {
			continue
		}
		name := path(p).last()
		held := object[name]
		delete(object, name)
		data := encode(t, v, false)
		object[name] = held
		tried++
		r, err := d.Decode("visit.json", 1, data)
		if err == nil {
			if _, still := resolve(r.Value(), pointer); still {
				t.Errorf("%s is still there", pointer)
			}
			continue
		}
		refused++
		for _, problem := range err.(Problems) {
			if problem.Pointer != path(p[:len(p)-1]).pointer() {
				t.Errorf("%s removed: %v", pointer, problem)
			}
		}
	}
	t.Logf("%d fields were removed, %d of the records were refused", tried, refused)
	if tried < 300 || refused < 200 {
		t.Errorf("%d fields were removed, %d of the records were refused", tried, refused)
	}
}

var sink any

func BenchmarkDecode(b *testing.B) {
	data := []byte(goodVisit())
	d := NewDecoder(visitSchema(), Limits{})
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		r, err := d.Decode("visit.json", 1, data)
		if err != nil {
			b.Fatal(err)
		}
		sink = r
	}
}
