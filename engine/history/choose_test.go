package history_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/record"
)

// TestChooseNeedsNoOrder compares every visit of a machine with all the others,
// shuffled: the choice is that of a tracker that saw them in the order of time.
func TestChooseNeedsNoOrder(t *testing.T) {
	w := newWorkshop(t)
	random := rand.New(rand.NewPCG(5, 6))
	for round := range 4 {
		var all []*record.Record
		for n := range 14 {
			v := visit{id: fmt.Sprintf("V-%02d", n), day: day(2 * n), edit: map[string]any{}}
			v.battery = []string{"", "none", "voltages"}[random.IntN(3)]
			v.meters = []string{"", "none"}[random.IntN(2)]
			if random.IntN(3) == 0 {
				v.edit["service_level"] = "interim"
			}
			if random.IntN(2) == 0 {
				v.edit["follow_ups"] = []any{followUp(fmt.Sprintf("F-%d", n), "major", v.day, day(n+30))}
			}
			if n > 0 && random.IntN(2) == 0 {
				v.edit["open_items_answered"] = []any{answer(fmt.Sprintf("F-%d", random.IntN(n)), "closed", "")}
			}
			if random.IntN(3) == 0 {
				v.edit["tags_placed"] = []any{tag(fmt.Sprintf("T-%d", n), v.day)}
			}
			all = append(all, w.record(t, v))
		}
		other := w.record(t, visit{id: "X", day: day(1), serial: "WB-9999"})
		var tracker history.Tracker
		for n, rec := range all {
			want := tracker.Earlier(rec)
			tracker.Add(rec)
			shuffled := append([]*record.Record{other}, all...)
			random.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
			got := history.Choose(rec, shuffled)
			if !reflect.DeepEqual(got.Value(), want.Value()) {
				t.Fatalf("round %d, visit %d: chosen %s, want %s", round, n, names(got), names(want))
			}
			if n > 0 && got.LastVisit == nil {
				t.Fatalf("round %d, visit %d: compared with nothing", round, n)
			}
		}
	}
}

// TestChooseReachesFurther hands in a visit later than a tracker keeps: its
// machine's whole list still gives what came before it, and answers given since
// count.
func TestChooseReachesFurther(t *testing.T) {
	w := newWorkshop(t)
	var all []*record.Record
	for n := range 8 {
		v := visit{id: fmt.Sprintf("V-%d", n), day: day(10 * n)}
		if n == 0 {
			v.edit = map[string]any{"follow_ups": []any{followUp("F-1", "major", day(0), day(30))}}
		}
		if n == 1 {
			v.edit = map[string]any{"open_items_answered": []any{answer("F-1", "closed", "")}}
		}
		all = append(all, w.record(t, v))
	}
	early := history.Choose(w.record(t, visit{id: "L", day: day(5)}), all)
	if got, want := names(early), "last V-0, meters V-0, battery V-0, full V-0; item F-1 of V-0 due "+day(30)+" carried 0"; got != want {
		t.Errorf("chosen %s, want %s", got, want)
	}
	late := history.Choose(w.record(t, visit{id: "L", day: day(15)}), all)
	if got, want := names(late), "last V-1, meters V-1, battery V-1, full V-1"; got != want {
		t.Errorf("chosen %s, want %s", got, want)
	}
}
