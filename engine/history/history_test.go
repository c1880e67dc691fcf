package history_test

import (
	"encoding/json"
	"reflect"
	"slices"
	"testing"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/schema"
)

func TestEarlier(t *testing.T) {
	w := newWorkshop(t)
	list := func(fields ...map[string]any) []any {
		out := make([]any, len(fields))
		for i, f := range fields {
			out[i] = f
		}
		return out
	}
	meterChange := func(meter string) map[string]any {
		hours := func(value string) map[string]any { return map[string]any{"value": json.Number(value), "unit": "h"} }
		return map[string]any{"meter": meter, "old_last": hours("99.0"), "new_first": hours("0.0"), "date": day(0), "reason": "broken"}
	}
	restriction := func(id, until string) map[string]any {
		return map[string]any{"id": id, "not_to_do": "no ramps", "until": until, "about": []any{"battery"}}
	}
	tests := []struct {
		name   string
		before []visit
		this   visit
		want   string
	}{
		{
			name: "nothing known",
			this: visit{id: "A", day: day(0)},
			want: "last -, meters -, battery -",
		},
		{
			name:   "another machine",
			before: []visit{{id: "A", day: day(0), serial: "WB-9999"}},
			this:   visit{id: "B", day: day(1)},
			want:   "last -, meters -, battery -",
		},
		{
			name:   "one visit fills every slot",
			before: []visit{{id: "A", day: day(0)}},
			this:   visit{id: "B", day: day(1)},
			want:   "last A, meters A, battery A, full A",
		},
		{
			name: "each slot has the latest that holds what is compared",
			before: []visit{
				{id: "A", day: day(0)},
				{id: "B", day: day(1), meters: "none"},
				{id: "C", day: day(2), battery: "none", edit: map[string]any{"kind": "repair", "service_level": "none"}},
				{id: "D", day: day(3), battery: "none", meters: "none", edit: map[string]any{"service_level": "interim"}},
			},
			this: visit{id: "E", day: day(4)},
			want: "last D, meters C, battery B, full B, interim D",
		},
		{
			name: "a block voltage alone is a battery reading",
			before: []visit{
				{id: "A", day: day(0)},
				{id: "B", day: day(1), battery: "voltages"},
				{id: "C", day: day(2), battery: "none"},
			},
			this: visit{id: "D", day: day(3)},
			want: "last C, meters C, battery B, full C",
		},
		{
			name: "slots outlive the recent visits",
			before: []visit{
				{id: "A", day: day(0)},
				{id: "B", day: day(1), battery: "none", meters: "none", edit: notAvailable()},
				{id: "C", day: day(2), battery: "none", meters: "none", edit: notAvailable()},
				{id: "D", day: day(3), battery: "none", meters: "none", edit: notAvailable()},
				{id: "E", day: day(4), battery: "none", meters: "none", edit: notAvailable()},
				{id: "F", day: day(5), battery: "none", meters: "none", edit: notAvailable()},
			},
			this: visit{id: "G", day: day(6)},
			want: "last F, meters A, battery A, full A",
		},
		{
			name: "a visit that ends when this one starts counts, one that ends later does not",
			before: []visit{
				{id: "A", day: day(0)},
				{id: "B", day: day(1), edit: map[string]any{"ended": day(2) + "T06:00:00Z"}},
				{id: "C", day: day(1), edit: map[string]any{"ended": day(2) + "T06:00:01Z"}},
			},
			this: visit{id: "D", day: day(2)},
			want: "last B, meters B, battery B, full B",
		},
		{
			name: "handed in late, judged against what came before it",
			before: []visit{
				{id: "A", day: day(0)}, {id: "B", day: day(2)}, {id: "C", day: day(4)}, {id: "D", day: day(6)},
			},
			this: visit{id: "L", day: day(3)},
			want: "last B, meters B, battery B, full B",
		},
		{
			name: "handed in later than what is kept reaches",
			before: []visit{
				{id: "A", day: day(1)}, {id: "B", day: day(2)}, {id: "C", day: day(3)},
				{id: "D", day: day(4)}, {id: "E", day: day(5)}, {id: "F", day: day(6)},
			},
			this: visit{id: "L", day: day(0)},
			want: "last -, meters -, battery -",
		},
		{
			name:   "not compared with itself",
			before: []visit{{id: "A", day: day(0)}, {id: "B", day: day(1), edit: map[string]any{"started": day(1) + "T09:30:00+02:00"}}},
			this:   visit{id: "B", day: day(1), edit: map[string]any{"started": day(1) + "T09:30:00+02:00"}},
			want:   "last A, meters A, battery A, full A",
		},
		{
			name: "handed in again, the newer version counts",
			before: []visit{
				{id: "A", day: day(0), edit: map[string]any{"follow_ups": list(followUp("F-1", "major", day(0), day(30)))}},
				{id: "A", day: day(0)},
			},
			this: visit{id: "B", day: day(1)},
			want: "last A, meters A, battery A, full A",
		},
		{
			name: "items: carried with a new due day, closed, handed over",
			before: []visit{
				{id: "A", day: day(0), edit: map[string]any{"follow_ups": list(
					followUp("F-1", "major", day(0), day(30)), followUp("F-2", "minor", day(0), day(60)), followUp("F-3", "major", day(0), day(30)))}},
				{id: "B", day: day(1), edit: map[string]any{"open_items_answered": list(
					answer("F-1", "kept", day(40)), answer("F-2", "handed-over", ""), answer("F-3", "closed", ""))}},
				{id: "C", day: day(2), edit: map[string]any{"open_items_answered": list(answer("F-1", "kept", day(50)))}},
			},
			this: visit{id: "D", day: day(3)},
			want: "last C, meters C, battery C, full C; item F-1 of A due " + day(50) + " carried 2",
		},
		{
			name: "an item raised again under its id is carried, even if it is called closed",
			before: []visit{
				{id: "A", day: day(0), edit: map[string]any{"follow_ups": list(followUp("F-1", "major", day(0), day(30)))}},
				{id: "B", day: day(1), edit: map[string]any{"open_items_answered": list(answer("F-1", "closed", "")),
					"follow_ups": list(followUp("F-1", "major", day(1), day(45)))}},
			},
			this: visit{id: "C", day: day(2)},
			want: "last B, meters B, battery B, full B; item F-1 of A due " + day(45) + " carried 1",
		},
		{
			name: "an item that nobody answers stays open past the visits that are kept",
			before: []visit{
				{id: "A", day: day(0), edit: map[string]any{"follow_ups": list(followUp("F-1", "major", day(0), day(30)))}},
				{id: "B", day: day(1)}, {id: "C", day: day(2)}, {id: "D", day: day(3)}, {id: "E", day: day(4)}, {id: "F", day: day(5)},
			},
			this: visit{id: "G", day: day(6)},
			want: "last F, meters F, battery F, full F; item F-1 of A due " + day(30) + " carried 0",
		},
		{
			name: "a late visit's item stays open unless a kept visit answers it",
			before: []visit{
				{id: "B", day: day(2)}, {id: "C", day: day(3)},
				{id: "D", day: day(4), edit: map[string]any{"open_items_answered": list(answer("F-1", "closed", ""))}},
				{id: "E", day: day(5)},
				{id: "A", day: day(0), edit: map[string]any{"follow_ups": list(
					followUp("F-1", "major", day(0), day(30)), followUp("F-2", "major", day(0), day(30)))}},
			},
			this: visit{id: "F", day: day(6)},
			want: "last E, meters E, battery E, full E; item F-2 of A due " + day(30) + " carried 0",
		},
		{
			name: "what was raised later is not open for a visit handed in late",
			before: []visit{
				{id: "B", day: day(2), edit: map[string]any{"follow_ups": list(followUp("F-1", "major", day(2), day(30))),
					"tags_placed": list(tag("T-1", day(2))), "restrictions": list(restriction("R-1", day(30)))}},
				{id: "C", day: day(3)}, {id: "D", day: day(4)}, {id: "E", day: day(5)}, {id: "F", day: day(6)},
			},
			this: visit{id: "A", day: day(0)},
			want: "last -, meters -, battery -",
		},
		{
			name: "tags: kept, released, hung up again without release",
			before: []visit{
				{id: "A", day: day(0), edit: map[string]any{"tags_placed": list(tag("T-1", day(0)), tag("T-2", day(0)), tag("T-3", day(0)))}},
				{id: "B", day: day(1), edit: map[string]any{
					"tags_answered": list(map[string]any{"tag": "T-1", "answer": "released", "evidence": "block replaced"},
						map[string]any{"tag": "T-2", "answer": "kept"}),
					"tags_placed": list(tag("T-3", day(1)), tag("T-4", day(1)))}},
			},
			this: visit{id: "C", day: day(2)},
			want: "last B, meters B, battery B, full B; tag T-2 of A; tag T-3 of A; tag T-4 of B",
		},
		{
			name: "a restriction stands although later visits leave it out",
			before: []visit{
				{id: "A", day: day(0), edit: map[string]any{"restrictions": list(restriction("R-2", day(10)), restriction("R-1", day(10)))}},
				{id: "B", day: day(1)},
				{id: "C", day: day(2), edit: notAvailable()},
			},
			this: visit{id: "D", day: day(3)},
			want: "last C, meters C, battery C, full B; restriction R-1 of A until " + day(10) + "; restriction R-2 of A until " + day(10),
		},
		{
			name: "set again under its id, it holds until the new day",
			before: []visit{
				{id: "A", day: day(0), edit: map[string]any{"restrictions": list(restriction("R-1", day(10)))}},
				{id: "B", day: day(1), edit: map[string]any{"restrictions": list(restriction("R-1", day(20)))}},
			},
			this: visit{id: "C", day: day(2)},
			want: "last B, meters B, battery B, full B; restriction R-1 of B until " + day(20),
		},
		{
			name: "a restriction ends when all that it is about is closed, by one visit or several",
			before: []visit{
				{id: "A", day: day(0), edit: map[string]any{
					"follow_ups": list(followUp("F-1", "major", day(0), day(30)), about(followUp("F-2", "major", day(0), day(30)), "battery")),
					"restrictions": list(about(restriction("R-1", day(10)), "cell B1.2"), about(restriction("R-2", day(10)), "battery", "cell B1.2"),
						about(restriction("R-3", day(10)), "battery", "charger"))}},
				{id: "B", day: day(1), edit: map[string]any{"open_items_answered": list(answer("F-1", "closed", ""), answer("F-2", "kept", day(20)))}},
				{id: "C", day: day(2), edit: map[string]any{"open_items_answered": list(answer("F-2", "closed", ""))}},
			},
			this: visit{id: "D", day: day(3)},
			want: "last C, meters C, battery C, full C; restriction R-3 of A until " + day(10),
		},
		{
			name: "neither handing an item over nor raising it again lifts a restriction",
			before: []visit{
				{id: "A", day: day(0), edit: map[string]any{
					"follow_ups":   list(followUp("F-1", "major", day(0), day(30)), about(followUp("F-2", "major", day(0), day(30)), "battery")),
					"restrictions": list(about(restriction("R-1", day(10)), "cell B1.2"), about(restriction("R-2", day(10)), "battery"))}},
				{id: "B", day: day(1), edit: map[string]any{"open_items_answered": list(answer("F-1", "handed-over", ""), answer("F-2", "closed", "")),
					"follow_ups": list(about(followUp("F-2", "major", day(1), day(30)), "battery"))}},
			},
			this: visit{id: "C", day: day(2)},
			want: "last B, meters B, battery B, full B; item F-2 of A due " + day(30) + " carried 1" +
				"; restriction R-1 of A until " + day(10) + "; restriction R-2 of A until " + day(10),
		},
		{
			name: "meters replaced are told in the order of the visits that recorded them, those of later visits left out",
			before: []visit{
				{id: "B", day: day(1), edit: map[string]any{"meter_changes": list(meterChange("brush"))}},
				{id: "A", day: day(0), edit: map[string]any{"meter_changes": list(meterChange("drive"))}},
				{id: "D", day: day(3), edit: map[string]any{"meter_changes": list(meterChange("vacuum"))}},
			},
			this: visit{id: "C", day: day(2)},
			want: "last B, meters B, battery B, full B; drive meter changed by A; brush meter changed by B",
		},
	}
	input, err := schema.Compile("input")
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			var tracker history.Tracker
			for _, v := range test.before {
				tracker.Add(w.record(t, v))
			}
			this := w.record(t, test.this)
			e := tracker.Earlier(this)
			if got := names(e); got != test.want {
				t.Errorf("got  %s\nwant %s", got, test.want)
			}
			doc := map[string]any{"visit": this.Value(), "earlier": e.Value(), "received": []any{}}
			if err := input.Validate(doc); err != nil {
				t.Errorf("what the rules would see does not keep to its schema: %v", err)
			}
		})
	}
}

// TestOrderOfHandingIn adds the same visits in every order in which none comes
// later than the kept visits reach: what a visit is compared with stays the same.
func TestOrderOfHandingIn(t *testing.T) {
	w := newWorkshop(t)
	visits := []visit{
		{id: "A", day: day(0), edit: map[string]any{"follow_ups": []any{followUp("F-1", "major", day(0), day(30))}}},
		{id: "B", day: day(1), edit: map[string]any{"open_items_answered": []any{answer("F-1", "kept", day(40))},
			"tags_placed": []any{tag("T-1", day(1))}}},
		{id: "C", day: day(2), battery: "none", edit: map[string]any{"follow_ups": []any{followUp("F-2", "minor", day(2), day(50))},
			"tags_answered": []any{map[string]any{"tag": "T-1", "answer": "released", "evidence": "measured"}}}},
		{id: "D", day: day(3), edit: map[string]any{"open_items_answered": []any{answer("F-1", "closed", "")}}},
	}
	this := w.record(t, visit{id: "E", day: day(4)})
	records := make([]*record.Record, len(visits))
	for i, v := range visits {
		records[i] = w.record(t, v)
	}
	want := ""
	orders := 0
	for order := range permutations(len(records)) {
		orders++
		var tracker history.Tracker
		for _, i := range order {
			tracker.Add(records[i])
		}
		got := names(tracker.Earlier(this))
		if want == "" {
			want = got
		}
		if got != want {
			t.Errorf("order %v: got %s, want %s", order, got, want)
		}
	}
	if orders != 24 {
		t.Errorf("tried %d orders, want 24", orders)
	}
	if want != "last D, meters D, battery D, full D; item F-2 of C due "+day(50)+" carried 0" {
		t.Errorf("got %s", want)
	}
}

// permutations yields every order of 0 to n-1.
func permutations(n int) func(func([]int) bool) {
	return func(yield func([]int) bool) {
		order := make([]int, n)
		for i := range order {
			order[i] = i
		}
		var place func(k int) bool
		place = func(k int) bool {
			if k == n {
				return yield(slices.Clone(order))
			}
			for i := k; i < n; i++ {
				order[k], order[i] = order[i], order[k]
				if !place(k + 1) {
					return false
				}
				order[k], order[i] = order[i], order[k]
			}
			return true
		}
		place(0)
	}
}

// TestAfter compares what stands after a visit with what the next one is told of.
func TestAfter(t *testing.T) {
	w := newWorkshop(t)
	var tracker history.Tracker
	tracker.Add(w.record(t, visit{id: "A", day: day(0), edit: map[string]any{
		"follow_ups": []any{followUp("F-1", "major", day(0), day(30)), followUp("F-2", "major", day(0), day(30))}, "tags_placed": []any{tag("T-1", day(0))}}}))
	rec := w.record(t, visit{id: "B", day: day(1), edit: map[string]any{
		"open_items_answered": []any{answer("F-1", "closed", "")}, "tags_placed": []any{tag("T-2", day(1))}}})
	items, tags, restrictions := tracker.Earlier(rec).After(rec)
	tracker.Add(rec)
	next := tracker.Earlier(w.record(t, visit{id: "C", day: day(2)}))
	if len(items) != 1 || len(tags) != 2 || len(restrictions) != 0 {
		t.Errorf("%d items, %d tags, %d restrictions; want 1, 2, 0", len(items), len(tags), len(restrictions))
	}
	if !reflect.DeepEqual(items, next.OpenItems) || !reflect.DeepEqual(tags, next.Tags) {
		t.Errorf("after the visit stand %v and %v, the next is told of %v and %v", items, tags, next.OpenItems, next.Tags)
	}
}
