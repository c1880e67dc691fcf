package history_test

import (
	"cmp"
	"fmt"
	"maps"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"github.com/visitgauge/visitgauge/engine/history"
)

// TestOpenItemsAreBounded raises more items than are kept: the gravest and
// newest stay.
func TestOpenItemsAreBounded(t *testing.T) {
	w := newWorkshop(t)
	var tracker history.Tracker
	const each = 60
	for n := range 6 {
		var raised []any
		for i := range each {
			severity := []string{"minor", "major", "critical"}[i%3]
			raised = append(raised, followUp(fmt.Sprintf("F-%d-%d", n, i), severity, day(n), day(n+30)))
		}
		tracker.Add(w.record(t, visit{id: fmt.Sprintf("V-%d", n), day: day(n), edit: map[string]any{"follow_ups": raised}}))
	}
	counts := map[string]int{}
	oldest := map[string]string{}
	for _, i := range tracker.Earlier(w.record(t, visit{id: "Z", day: day(9)})).OpenItems {
		counts[i.Severity]++
		oldest[i.Severity] = min(i.RaisedOn, cmp.Or(oldest[i.Severity], i.RaisedOn))
	}
	want := map[string]int{"critical": 120, "major": 120, "minor": history.MaxOpen - 240}
	if !maps.Equal(counts, want) {
		t.Errorf("kept %v, want %v", counts, want)
	}
	if oldest["minor"] != day(5) {
		t.Errorf("the oldest minor item kept is of %s, want the newest, of %s", oldest["minor"], day(5))
	}
}

// TestExpiredRestrictionIsKept sets more restrictions than are kept: the one that
// has expired, by which a machine is unserviceable, must not make room for others.
func TestExpiredRestrictionIsKept(t *testing.T) {
	w := newWorkshop(t)
	var set []any
	for i := range history.MaxOpen + 20 {
		until := day(100 + i)
		if i == history.MaxOpen {
			until = day(1)
		}
		set = append(set, map[string]any{"id": fmt.Sprintf("R-%d", i), "not_to_do": "no ramps", "until": until, "about": []any{"battery"}})
	}
	var tracker history.Tracker
	tracker.Add(w.record(t, visit{id: "A", day: day(0), edit: map[string]any{"restrictions": set}}))
	kept := tracker.Earlier(w.record(t, visit{id: "B", day: day(2)})).Restrictions
	if len(kept) != history.MaxOpen {
		t.Errorf("%d are kept, want %d", len(kept), history.MaxOpen)
	}
	expired := func(r history.Restriction) bool { return r.Until == day(1) }
	if !slices.ContainsFunc(kept, expired) {
		t.Error("the expired restriction was dropped")
	}
}

// TestMemoryIsBoundedByMachines adds many visits of few machines, in an order
// that is sometimes late: the heap must not grow with their number.
func TestMemoryIsBoundedByMachines(t *testing.T) {
	w := newWorkshop(t)
	random := rand.New(rand.NewPCG(1, 2))
	var tracker history.Tracker
	n := 0
	heapAfter := func(visits int) uint64 {
		for range visits {
			n++
			late := 0
			if random.IntN(5) == 0 {
				late = random.IntN(30)
			}
			var raised []any
			for i := range 40 {
				raised = append(raised, followUp(fmt.Sprintf("F-%d-%d", n, i), "major", day(n), day(n+30)))
			}
			tracker.Add(w.record(t, visit{
				id: fmt.Sprintf("V-%d", n), day: day(n - late), serial: fmt.Sprintf("WB-%d", n%3),
				edit: map[string]any{"follow_ups": raised},
			}))
		}
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	// Until every machine holds all that it may.
	first := heapAfter(3 * 14)
	second := heapAfter(60)
	if second > first+first/4 {
		t.Errorf("heap grew from %d to %d bytes over 60 more visits of the same 3 machines", first, second)
	}
	runtime.KeepAlive(&tracker)
}
