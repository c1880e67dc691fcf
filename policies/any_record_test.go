package policies_test

import (
	"encoding/json"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/schema"
)

// TestNoRecordStopsTheRun alters spotless records and those of the demo in
// several places at once, at random from a fixed seed: fields and elements go,
// are doubled, change places or take another value that is allowed there. Whatever
// the decoder then accepts must get a verdict: a rule that gives two answers, or
// fails, would stop the run for one odd record.
func TestNoRecordStopsTheRun(t *testing.T) {
	b := newBench(t)
	trials := b.spotless(t)
	for _, v := range demo(t) {
		trials = append(trials, v.trial)
	}
	words := vocabulary(t)
	random := rand.New(rand.NewPCG(2026, 5))
	const wanted = 1500
	accepted, tried := 0, 0
	for accepted < wanted {
		like := trials[tried%len(trials)]
		tried++
		doc := like.doc
		for range 1 + random.IntN(6) {
			doc = altered(random, doc, words)
		}
		if b.visits.Validate(doc) != nil {
			continue
		}
		r, err := b.one(t.Context(), like, change{doc: doc})
		if err != nil {
			data, _ := json.Marshal(doc)
			t.Errorf("%s, altered: %v\n%s", like.name, err, data)
			continue
		}
		if !r.refused {
			accepted++
		}
		if tried > 100*wanted {
			t.Fatalf("only %d of %d altered records were accepted", accepted, tried)
		}
	}
	t.Logf("%d altered records of %d were accepted, and each got a verdict", accepted, tried)
}

// vocabulary is the values that the schema of a visit lists for a field, by the
// field's name.
func vocabulary(t *testing.T) map[string][]any {
	t.Helper()
	data, err := schema.Read("visit")
	if err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	if err := json.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	out := map[string][]any{}
	for _, def := range at(doc, "$defs").(map[string]any) {
		properties, _ := at(def, "properties").(map[string]any)
		for name, p := range properties {
			values, _ := at(p, "enum").([]any)
			out[name] = append(out[name], values...)
		}
	}
	return out
}

// altered changes one place that was chosen at random.
func altered(random *rand.Rand, doc map[string]any, words map[string][]any) map[string]any {
	all := spots(doc)
	s := all[random.IntN(len(all))]
	index, element := s.path[len(s.path)-1].(int)
	if element && random.IntN(3) == 0 {
		return rearranged(random, doc, s, index)
	}
	switch v := s.value.(type) {
	case map[string]any:
		if other, ok := restated(random, v); ok {
			return s.set(doc, "", other).doc
		}
	case bool:
		return s.set(doc, "", !v).doc
	case json.Number:
		other := []json.Number{"0", "1", "2.5", "10", "1.2", "250", "-1"}
		return s.set(doc, "", other[random.IntN(len(other))]).doc
	case string:
		if choice := words[s.last()]; len(choice) > 0 {
			return s.set(doc, "", choice[random.IntN(len(choice))]).doc
		}
		if at, err := time.Parse(time.RFC3339, v); err == nil {
			return s.set(doc, "", at.Add(time.Duration(random.IntN(240)-120)*time.Minute).Format(time.RFC3339)).doc
		}
		if at, err := time.Parse(time.DateOnly, v); err == nil {
			return s.set(doc, "", at.AddDate(0, 0, random.IntN(800)-400).Format(time.DateOnly)).doc
		}
		// A name from elsewhere in the record, of the same field.
		var same []spot
		for _, other := range all {
			if _, text := other.value.(string); text && other.last() == s.last() && s.last() != "" {
				same = append(same, other)
			}
		}
		if len(same) > 0 {
			return s.set(doc, "", same[random.IntN(len(same))].value).doc
		}
	}
	return s.removed(doc).doc
}

// restated says of a reading or a step that it was had in another way: corrected,
// not obtained, left undone.
func restated(random *rand.Rand, v map[string]any) (map[string]any, bool) {
	out := maps.Clone(v)
	missing := map[string]any{"reason": []string{"not-reached", "corroded", "not-done"}[random.IntN(3)]}
	switch {
	case v["as_found"] != nil:
		switch random.IntN(3) {
		case 0:
			out["as_left"] = v["as_found"]
		case 1:
			out["as_left"] = v["as_found"]
			fallthrough
		default:
			delete(out, "as_found")
			out["not_obtained"] = missing
		}
		return out, true
	case v["step"] != nil && v["left"] != nil:
		out = map[string]any{"step": v["step"], "by": v["by"], "skipped": map[string]any{"reason": []string{"no-time", "not-reached", "not-stated", "no-access"}[random.IntN(4)]}}
		if v["readings"] != nil && random.IntN(2) == 0 {
			out["readings"] = v["readings"]
		}
		return out, true
	}
	return nil, false
}

// rearranged doubles an element, or lets it change places with another.
func rearranged(random *rand.Rand, doc map[string]any, s spot, index int) map[string]any {
	parent := s.path[:len(s.path)-1]
	var list []any
	for _, other := range spots(doc) {
		if slices.Equal(other.path, parent) {
			list = slices.Clone(other.value.([]any))
		}
	}
	if other := random.IntN(len(list)); random.IntN(2) == 0 {
		list[index], list[other] = list[other], list[index]
	} else {
		double := list[index]
		if object, ok := double.(map[string]any); ok {
			double = maps.Clone(object)
		}
		list = slices.Insert(list, other, double)
	}
	return spot{path: parent}.set(doc, "", list).doc
}
