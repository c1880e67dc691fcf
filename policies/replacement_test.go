package policies_test

import (
	"encoding/json"
	"maps"
	"slices"
	"testing"

	"github.com/visitgauge/visitgauge/schema"
)

// TestWrongKinds puts a value of another kind, and null, into every place of the
// spotless records. All are refused.
func TestWrongKinds(t *testing.T) {
	b := newBench(t)
	total := tally{}
	each(t, b.spotless(t), func(t *testing.T, base trial) {
		var changes []change
		for _, s := range spots(base.doc) {
			changes = append(changes, s.set(base.doc, "is null", nil), s.set(base.doc, "is of another kind", otherKind(s.value)))
		}
		counts := tally{}
		for _, r := range b.try(t, base, some(changes)) {
			if r.refused {
				counts[refused]++
				continue
			}
			counts[silent]++
			t.Errorf("%s %s, and the record is not refused", r.pointer, r.kind)
		}
		total.add(t, counts)
	})
	t.Logf("values of the wrong kind: %s", total)
}

// otherKind is a value of another JSON kind that a lenient reader might take for
// the value itself.
func otherKind(v any) any {
	switch v := v.(type) {
	case json.Number:
		return v.String()
	case bool:
		if v {
			return "true"
		}
		return "false"
	case string:
		return []any{v}
	case []any:
		keyed := map[string]any{}
		for i, e := range v {
			keyed[string(rune('a'+i%26))] = e
		}
		return keyed
	case map[string]any:
		return []any{v}
	}
	return json.Number("0")
}

const (
	unknownUnit = "is a unit nobody knows"
	otherUnit   = "is a unit of another quantity"
)

// TestUnknownUnits writes every unit of the spotless records as one that nobody
// knows, and as each unit of another quantity. The first is refused.
func TestUnknownUnits(t *testing.T) {
	b := newBench(t)
	list := readExcuses(t, "may-differ.yaml")
	units := b.set.Data()["units"].(map[string]any)
	total := tally{}
	all := each(t, b.spotless(t), func(t *testing.T, base trial) {
		var changes []change
		for _, s := range spots(base.doc) {
			if s.last() != "unit" {
				continue
			}
			changes = append(changes, s.set(base.doc, unknownUnit, "furlong"))
			seen := map[any]bool{at(units, s.value.(string), "quantity"): true}
			for _, code := range slices.Sorted(maps.Keys(units)) {
				if quantity := at(units, code, "quantity"); !seen[quantity] {
					seen[quantity] = true
					changes = append(changes, s.set(base.doc, otherUnit, code))
				}
			}
		}
		counts := tally{}
		for _, r := range b.try(t, base, some(changes)) {
			if !r.refused && r.kind == unknownUnit {
				t.Errorf("%s %s, and the record is not refused", r.pointer, r.kind)
			}
			counts[hold(t, r, list, r.kind)]++
		}
		total.add(t, counts)
	})
	if all {
		t.Logf("units that are unknown or of another quantity: %s", total)
		list.demandUse(t, unknownUnit, otherUnit)
	}
}

// TestUnusableInstruments lets every reading of the spotless records be taken with
// an instrument that proves nothing.
func TestUnusableInstruments(t *testing.T) {
	b := newBench(t)
	list := readExcuses(t, "may-differ.yaml")
	total := tally{}
	kinds := []string{"names no instrument"}
	for _, u := range unusable {
		kinds = append(kinds, u.kind)
	}
	all := each(t, b.spotless(t), func(t *testing.T, base trial) {
		var changes []change
		for _, s := range spots(base.doc) {
			if s.last() != "instrument" {
				continue
			}
			changes = append(changes, s.set(base.doc, kinds[0], "nobodys-1"))
			for _, u := range unusable {
				if doc, ok := withInstrument(base.doc, s, u.make); ok {
					changes = append(changes, change{pattern: s.pattern(), pointer: s.pointer(), kind: u.kind, was: s.value, doc: doc})
				}
			}
		}
		counts := tally{}
		for _, r := range b.try(t, base, some(changes)) {
			counts[hold(t, r, list, r.kind)]++
		}
		total.add(t, counts)
	})
	if all {
		t.Logf("readings with an unusable instrument: %s", total)
		list.demandUse(t, kinds...)
	}
}

// unusable makes an instrument useless in one way; false where it cannot be said
// of its kind.
var unusable = []struct {
	kind string
	make func(instrument map[string]any, day string) bool
}{
	{"names an instrument that ran out", func(i map[string]any, _ string) bool {
		for _, field := range []string{"last", "next"} {
			if _, ok := i[field]; ok {
				i[field] = "2019-01-12"
			}
		}
		return i["last"] != nil
	}},
	{"names an instrument checked after the visit", func(i map[string]any, day string) bool {
		if i["last"] == nil {
			return false
		}
		i["last"] = addDays(day, 1)
		return true
	}},
	{"names an instrument of another quantity", func(i map[string]any, _ string) bool {
		i["kind"] = "indicator"
		i["measures"] = []any{map[string]any{"quantity": "force"}}
		return true
	}},
	{"names an instrument that ends below the value", func(i map[string]any, _ string) bool {
		return span(i, "0", "0.0001")
	}},
	{"names an instrument that begins above the value", func(i map[string]any, _ string) bool {
		return span(i, "99999", "100000")
	}},
	{"names somebody's eye", func(i map[string]any, _ string) bool {
		if i["kind"] == "by-eye" || i["kind"] == "indicator" {
			return false
		}
		i["kind"] = "by-eye"
		return true
	}},
}

// span gives an instrument another range, if it states one.
func span(instrument map[string]any, low, high string) bool {
	ranged := false
	var measures []any
	for _, m := range instrument["measures"].([]any) {
		m := maps.Clone(m.(map[string]any))
		if m["low"] != nil {
			ranged = true
			m["low"], m["high"] = json.Number(low), json.Number(high)
		}
		measures = append(measures, m)
	}
	instrument["measures"] = measures
	return ranged
}

// withInstrument lets the reading be taken with a copy of its instrument that was
// made useless; no other reading names it.
func withInstrument(doc map[string]any, s spot, make func(map[string]any, string) bool) (map[string]any, bool) {
	instruments := doc["instruments"].([]any)
	for _, i := range instruments {
		if at(i, "id") != s.value {
			continue
		}
		useless := maps.Clone(i.(map[string]any))
		useless["id"] = "useless-1"
		if !make(useless, doc["started"].(string)[:len("2006-01-02")]) {
			return nil, false
		}
		out := s.set(doc, "", "useless-1").doc
		out["instruments"] = append(slices.Clone(instruments), useless)
		return out, true
	}
	return nil, false
}

// TestOtherEnds writes every other end into the spotless records and into every
// record of the demo. Whatever else they say, the machine is not serviceable.
func TestOtherEnds(t *testing.T) {
	b := newBench(t)
	ends := map[string]map[string]any{
		"stopped-unsafe": {"stop": map[string]any{"hazard": "a hazard", "isolated": true, "tag": "T-1", "told_role": "shift lead", "follow_up": "F-1"}},
		"cut-short":      {"cut_short": map[string]any{"reason": "called away", "cause": "site"}},
		"not-available":  {"absence": map[string]any{"reason": "locked-away", "told_role": "shift lead"}},
	}
	if known := b.enum(t, "ended_as"); len(known) != len(ends)+1 {
		t.Fatalf("a visit ends as one of %v; not all are tried", known)
	}
	trials := b.spotless(t)
	for _, v := range demo(t) {
		trials = append(trials, v.trial)
	}
	each(t, trials, func(t *testing.T, like trial) {
		var changes []change
		for _, end := range slices.Sorted(maps.Keys(ends)) {
			if end == like.doc["ended_as"] {
				continue
			}
			doc := maps.Clone(like.doc)
			delete(doc, "stop")
			delete(doc, "cut_short")
			delete(doc, "absence")
			doc["ended_as"] = end
			for field, value := range ends[end] {
				value := maps.Clone(value.(map[string]any))
				if field != "absence" {
					value["at"] = doc["ended"]
				}
				doc[field] = value
			}
			changes = append(changes, change{pattern: "/ended_as", pointer: "/ended_as", kind: "is " + end, doc: doc})
		}
		for _, r := range b.try(t, like, changes) {
			if r.refused {
				t.Errorf("%s %s: refused, so that nothing is shown", r.pointer, r.kind)
			}
			if r.passes() {
				t.Errorf("%s %s: accepted, and the machine serviceable", r.pointer, r.kind)
			}
		}
	})
}

// enum lists the values that the schema of a visit allows for a field of its own.
func (b *bench) enum(t *testing.T, field string) []any {
	t.Helper()
	data, err := schema.Read("visit")
	if err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	if err := json.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	values, _ := at(doc, "$defs", "visit", "properties", field, "enum").([]any)
	return values
}
