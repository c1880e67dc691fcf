package policies_test

import (
	"cmp"
	"slices"
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/schema"
)

// What is done to a time or a day.
const (
	beforeStart = "is an hour before the start"
	afterEnd    = "is an hour after the end"
	swapped     = "is swapped with the time that follows it"
	dayBefore   = "is the day before the visit"
	dayAfter    = "is the day after the visit"
)

// A moment is a time of a record with its place.
type moment struct {
	spot
	at time.Time
}

// TestTimesOutOfOrder sets every time of the spotless records to before the start
// and to after the end, swaps it with the next later time in the record, and moves
// every day to the other side of the visit.
func TestTimesOutOfOrder(t *testing.T) {
	b := newBench(t)
	list := readExcuses(t, "may-differ.yaml")
	total := tally{}
	all := each(t, b.spotless(t), func(t *testing.T, base trial) {
		counts := tally{}
		for _, r := range b.try(t, base, some(append(timeChanges(t, base.doc), dayChanges(base.doc)...))) {
			counts[hold(t, r, list, r.kind)]++
		}
		total.add(t, counts)
	})
	if all {
		t.Logf("times out of order: %s", total)
		list.demandUse(t, beforeStart, afterEnd, swapped, dayBefore, dayAfter)
	}
}

func timeChanges(t *testing.T, doc map[string]any) []change {
	t.Helper()
	var moments []moment
	for _, s := range spots(doc) {
		text, _ := s.value.(string)
		if at, err := schema.ParseDateTime(text); err == nil {
			moments = append(moments, moment{s, at})
		}
	}
	if len(moments) < 15 {
		t.Fatalf("found %d times in the record", len(moments))
	}
	slices.SortStableFunc(moments, func(a, b moment) int { return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.pointer(), b.pointer())) })
	started, ended := parseTime(t, doc["started"]), parseTime(t, doc["ended"])
	var out []change
	for i, m := range moments {
		write := func(at time.Time) string { return at.Format(time.RFC3339) }
		// The start lies before itself only if it is the end of another visit.
		if m.pointer() != "/started" {
			out = append(out, m.set(doc, beforeStart, write(started.Add(-time.Hour))))
		}
		if m.pointer() != "/ended" {
			out = append(out, m.set(doc, afterEnd, write(ended.Add(time.Hour))))
		}
		for _, next := range moments[i+1:] {
			if next.at.After(m.at) {
				c := m.set(doc, swapped, next.value)
				c.doc = next.set(c.doc, "", m.value).doc
				c.pattern += " " + next.pattern()
				c.pointer += " " + next.pointer()
				out = append(out, c)
				break
			}
		}
	}
	return out
}

func dayChanges(doc map[string]any) []change {
	day := doc["started"].(string)[:len(time.DateOnly)]
	var out []change
	for _, s := range spots(doc) {
		text, _ := s.value.(string)
		if _, err := time.Parse(time.DateOnly, text); err != nil {
			continue
		}
		// Days so written compare as texts.
		if text >= day {
			out = append(out, s.set(doc, dayBefore, addDays(day, -1)))
		}
		if text <= day {
			out = append(out, s.set(doc, dayAfter, addDays(day, 1)))
		}
	}
	return out
}

func parseTime(t *testing.T, v any) time.Time {
	t.Helper()
	text, _ := v.(string)
	at, err := schema.ParseDateTime(text)
	if err != nil {
		t.Fatalf("%v is no time: %v", v, err)
	}
	return at
}

// addDays is a day so many days after another, both year-month-day.
func addDays(day string, n int) string {
	at, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return day
	}
	return at.AddDate(0, 0, n).Format(time.DateOnly)
}
