package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"testing"
	"unicode/utf8"
)

// encode writes a value with the fields of each object in order, or in reverse.
func encode(t testing.TB, v any, reverse bool) []byte {
	t.Helper()
	var out bytes.Buffer
	var write func(v any)
	write = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			names := slices.Sorted(maps.Keys(v))
			if reverse {
				slices.Reverse(names)
			}
			out.WriteByte('{')
			for i, name := range names {
				if i > 0 {
					out.WriteByte(',')
				}
				write(name)
				out.WriteByte(':')
				write(v[name])
			}
			out.WriteByte('}')
		case []any:
			out.WriteByte('[')
			for i, element := range v {
				if i > 0 {
					out.WriteByte(',')
				}
				write(element)
			}
			out.WriteByte(']')
		default:
			data, err := json.Marshal(v)
			if err != nil {
				t.Fatal(err)
			}
			out.Write(data)
		}
	}
	write(v)
	return out.Bytes()
}

// said returns what problems say, whatever the order of the fields is.
func said(ps Problems) []string {
	var found []string
	for _, p := range ps {
		found = append(found, p.Pointer+": "+p.Message)
	}
	slices.Sort(found)
	return found
}

// standard decodes with the standard library, which is the second opinion on
// what a JSON text means.
func standard(data []byte) (any, error) {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var v any
	if err := dec.Decode(&v); err != nil {
		return nil, err
	}
	if _, err := dec.Token(); err == nil {
		return nil, errors.New("there is more")
	}
	return v, nil
}

var lineNumber = regexp.MustCompile(`first in line [0-9]+`)

func FuzzDecode(f *testing.F) {
	f.Add([]byte(goodVisit()))
	for _, seed := range []string{
		`{"schema": "small/1", "id": "V-1"}`, `{"schema": "small/1", "id": "V-1", "cells": [{"cell": "B1.1", "gravity": {"as_found": {"value": 1.260, "unit": "sg"}}}]}`,
		`{"schema": "small/1", "id": "V-1", "kind": "stopped", "stop": {"hazard": "acid"}, "at": "2026-05-04T08:10:00+02:00", "day": "2026-05-04", "count": 7}`,
		`{"schema": "small/1", "id": "V-1", "kind": "stopd", "stop": {}, "instruments": [{"kind": "calibrated"}, {"kind": "checked", "measures": [{}]}]}`,
		`{"id": 1, "id": 2, "cels": [{"cell": "B1.1"}, {"cell": "B1.1"}]}`, `{"a": [1e400, -0, 0.1234567890, 1234567890123456]}`,
		`{"note": "\ud83d\ude00"}`, `{"note": "\ud83d"}`, "\xef\xbb\xbf{}", "\xff\xfe", `[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[`, `nul`, `-`, `1.`, `"`, `{"":{"":[]}}`, "",
	} {
		f.Add([]byte(seed))
	}
	decoders := map[string]*Decoder{
		"small": NewDecoder(smallSchema(), Limits{}), "visit": NewDecoder(visitSchema(), Limits{}),
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for name, d := range decoders {
			fuzzOne(t, name, d, data)
		}
	})
}

// FuzzAlteredVisit changes single values of the good record, which bytes changed
// at random hardly ever do without breaking the syntax.
func FuzzAlteredVisit(f *testing.F) {
	kinds := len(alterations)
	for i := range 60 {
		f.Add(uint16(i*7), uint8(i%kinds), "B1.2", uint16(i*31), uint8((i+3)%kinds), "12.60")
	}
	visit := NewDecoder(visitSchema(), Limits{})
	value, flaws := scan([]byte(goodVisit()), visit.lim)
	if len(flaws) > 0 {
		f.Fatal(flaws)
	}
	var pointers []string
	for pointer := range locate([]byte(goodVisit())) {
		pointers = append(pointers, pointer)
	}
	slices.Sort(pointers)
	f.Fuzz(func(t *testing.T, which1 uint16, how1 uint8, text1 string, which2 uint16, how2 uint8, text2 string) {
		v := value
		for _, c := range []struct {
			which uint16
			how   uint8
			text  string
		}{{which1, how1, text1}, {which2, how2, text2}} {
			p, _ := parsePointer(pointers[int(c.which)%len(pointers)])
			v = alter(v, p, alterations[int(c.how)%kinds], c.text)
		}
		fuzzOne(t, "visit", visit, encode(t, v, false))
	})
}

// alterations are what may be done to one value: what is put in its place, and
// whether anything stays.
var alterations = []func(v any, text string) (any, bool){
	func(any, string) (any, bool) { return nil, false },
	func(any, string) (any, bool) { return nil, true },
	func(any, string) (any, bool) { return true, true },
	func(_ any, text string) (any, bool) { return text, true },
	func(_ any, text string) (any, bool) {
		if n, err := strconv.ParseFloat(text, 64); err == nil && math.Abs(n) < 1e12 {
			return json.Number(strconv.FormatFloat(n, 'f', -1, 64)), true
		}
		return json.Number("7.0"), true
	},
	func(any, string) (any, bool) { return []any{}, true },
	func(any, string) (any, bool) { return map[string]any{}, true },
	func(v any, _ string) (any, bool) { return []any{v, v}, true },
	func(v any, text string) (any, bool) { return map[string]any{text: v}, true },
	func(v any, text string) (any, bool) {
		switch v := v.(type) {
		case string:
			return v + text, true
		case []any:
			return append(slices.Clone(v), v...), true
		case map[string]any:
			more := maps.Clone(v)
			more[text] = text
			return more, true
		}
		return v, true
	},
}

// alter returns the value with one part of it altered; where the path leads
// nowhere, the value as it is. The value itself stays as it is.
func alter(v any, p path, how func(any, string) (any, bool), text string) any {
	if len(p) == 0 {
		altered, _ := how(v, text)
		return altered
	}
	switch v := v.(type) {
	case map[string]any:
		member, ok := v[p[0]]
		if !ok {
			return v
		}
		other := maps.Clone(v)
		if len(p) == 1 {
			if altered, stays := how(member, text); stays {
				other[p[0]] = altered
			} else {
				delete(other, p[0])
			}
		} else {
			other[p[0]] = alter(member, p[1:], how, text)
		}
		return other
	case []any:
		i, ok := index(p[0], len(v))
		if !ok {
			return v
		}
		other := slices.Clone(v)
		if len(p) == 1 {
			if altered, stays := how(v[i], text); stays {
				other[i] = altered
			} else {
				other = slices.Delete(other, i, i+1)
			}
		} else {
			other[i] = alter(v[i], p[1:], how, text)
		}
		return other
	}
	return v
}

func fuzzOne(t *testing.T, name string, d *Decoder, data []byte) {
	kept := bytes.Clone(data)
	r, err := d.Decode("fuzz.json", 3, data)
	if !bytes.Equal(kept, data) {
		t.Fatalf("%s: the bytes were changed", name)
	}
	var ps Problems
	switch {
	case (r == nil) == (err == nil):
		t.Fatalf("%s: record %v and error %v", name, r != nil, err)
	case err != nil && (!errors.As(err, &ps) || len(ps) == 0):
		t.Fatalf("%s: error is %T %v", name, err, err)
	}
	checkProblems(t, name, data, ps)
	if err == nil {
		checkRecord(t, name, d, r, data)
	}

	// What is said of a record does not depend on the order of its fields. A
	// flaw in how it is written cannot be encoded again.
	v, flaws := scan(data, d.lim)
	if len(flaws) > 0 {
		return
	}
	_, forth := d.Decode("fuzz.json", 3, encode(t, v, false))
	_, back := d.Decode("fuzz.json", 3, encode(t, v, true))
	inOrder, reversed := Problems(nil), Problems(nil)
	errors.As(forth, &inOrder)
	errors.As(back, &reversed)
	if len(ps) <= MaxProblems {
		plain := func(ps Problems) []string {
			all := said(ps)
			for i := range all {
				all[i] = lineNumber.ReplaceAllString(all[i], "first in line N")
			}
			return all
		}
		if a, b, c := plain(ps), plain(inOrder), plain(reversed); !slices.Equal(a, b) || !slices.Equal(a, c) {
			t.Fatalf("%s: problems are\n%q\nin order\n%q\nreversed\n%q", name, a, b, c)
		}
	}
}

// checkProblems holds every problem to be complete and to lie in the record.
func checkProblems(t *testing.T, name string, data []byte, ps Problems) {
	t.Helper()
	lines := bytes.Split(data, []byte("\n"))
	for _, p := range ps {
		if p.Source != "fuzz.json" || p.Message == "" || p.Mend == "" {
			t.Fatalf("%s: problem %+v lacks something", name, p)
		}
		if _, ok := parsePointer(p.Pointer); !ok {
			t.Fatalf("%s: %q is no JSON pointer", name, p.Pointer)
		}
		if p.Line < 3 || p.Line-3 >= len(lines) || p.Column < 1 || p.Column > utf8.RuneCount(lines[p.Line-3])+1 {
			t.Fatalf("%s: %v lies outside the record", name, p)
		}
	}
}

// checkRecord holds an accepted record to what the standard library makes of
// the same bytes, and to be the same when encoded and decoded again.
func checkRecord(t *testing.T, name string, d *Decoder, r *Record, data []byte) {
	t.Helper()
	want, err := standard(data)
	if err != nil || !reflect.DeepEqual(any(r.Value()), want) {
		t.Fatalf("%s: the record is %v, and %v (%v) to the standard library", name, r.Value(), want, err)
	}
	for _, reverse := range []bool{false, true} {
		again, err := d.Decode("fuzz.json", 1, encode(t, r.Value(), reverse))
		if err != nil || !reflect.DeepEqual(again.Value(), r.Value()) {
			t.Fatalf("%s: encoded and decoded again it is %v (%v)", name, again, err)
		}
	}
	var walk func(p path, v any)
	walk = func(p path, v any) {
		if _, _, ok := r.Position(p.pointer()); !ok {
			t.Fatalf("%s: %q has no position", name, p.pointer())
		}
		switch v := v.(type) {
		case map[string]any:
			for key, member := range v {
				walk(p.with(key), member)
			}
		case []any:
			for i, element := range v {
				walk(p.with(strconv.Itoa(i)), element)
			}
		case json.Number:
			if text, ok := r.Text(p.pointer()); !ok || text != fmt.Sprint(v) {
				t.Fatalf("%s: the text of %q is %q, want %v", name, p.pointer(), text, v)
			}
		}
	}
	walk(nil, r.Value())
}
