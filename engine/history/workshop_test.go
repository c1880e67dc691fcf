package history_test

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/schema"
)

// visit describes a record of the test by what history looks at; the rest comes
// from a base visit of the release's examples.
type visit struct {
	id      string
	day     string // starts at 08:00+02:00, ends at 09:30+02:00
	serial  string
	edit    map[string]any // fields of the record to replace; nil removes
	battery string         // "", "voltages" or "none"
	meters  string         // "" or "none"
}

// workshop makes records.
type workshop struct {
	base    []byte
	decoder *record.Decoder
}

func newWorkshop(t testing.TB) workshop {
	t.Helper()
	data, err := os.ReadFile("../../policies/1.0.0/examples/base/walk-behind-flooded.json")
	if err != nil {
		t.Fatal(err)
	}
	var file map[string]json.RawMessage
	if err := json.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	visitSchema, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	return workshop{base: file["walk-behind-flooded"], decoder: record.NewDecoder(visitSchema, record.Limits{})}
}

func (w workshop) record(t testing.TB, v visit) *record.Record {
	t.Helper()
	dec := json.NewDecoder(strings.NewReader(string(w.base)))
	dec.UseNumber()
	var doc map[string]any
	if err := dec.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	doc["id"] = v.id
	doc["started"], doc["ended"] = v.day+"T08:00:00+02:00", v.day+"T09:30:00+02:00"
	if v.serial != "" {
		doc["machine"].(map[string]any)["serial"] = v.serial
	}
	unread := func() map[string]any {
		return map[string]any{"not_obtained": map[string]any{"reason": "no-access"}}
	}
	battery := doc["battery"].(map[string]any)
	if v.battery != "" {
		for _, c := range battery["cells"].([]any) {
			c.(map[string]any)["gravity"] = unread()
		}
		for _, b := range battery["blocks"].([]any) {
			b := b.(map[string]any)
			delete(b, "voltage")
			if v.battery == "voltages" {
				b["voltage"] = map[string]any{"as_found": map[string]any{"value": json.Number("6.3"), "unit": "V", "instrument": "vm-1"}}
			}
		}
	}
	if v.meters == "none" {
		for _, m := range doc["meters"].([]any) {
			m.(map[string]any)["reading"] = unread()
		}
	}
	for name, value := range v.edit {
		if value == nil {
			delete(doc, name)
			continue
		}
		doc[name] = value
	}
	data, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	rec, err := w.decoder.Decode(v.id, 1, data)
	if err != nil {
		t.Fatalf("%s: %v", v.id, err)
	}
	return rec
}

// day counts on from the third of January 2026.
func day(n int) string {
	return time.Date(2026, 1, 3+n, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
}

func followUp(item, severity, raised, due string) map[string]any {
	return map[string]any{"item": item, "about": []any{"cell B1.2"}, "severity": severity, "owner": "us",
		"raised": raised, "due": due, "what": "replace the block"}
}

// about says what a follow-up or a restriction stands for.
func about(fields map[string]any, subjects ...string) map[string]any {
	list := make([]any, len(subjects))
	for i, s := range subjects {
		list[i] = s
	}
	fields["about"] = list
	return fields
}

func answer(item, what, due string) map[string]any {
	a := map[string]any{"item": item, "answer": what}
	switch what {
	case "kept":
		a["due"] = due
	case "closed":
		a["evidence"] = "measured again"
	case "handed-over":
		a["to"] = "customer"
	}
	return a
}

func tag(number, day string) map[string]any {
	return map[string]any{"tag": number, "signal_word": "danger", "message": "do not use", "place": "key switch",
		"key_withheld": true, "isolated": true, "at": day + "T09:00:00+02:00", "about": []any{"battery"}}
}

func notAvailable() map[string]any {
	return map[string]any{"ended_as": "not-available", "absence": map[string]any{"reason": "locked-away", "told_role": "reception"}}
}

// names writes what a visit is compared with in short.
func names(e history.Earlier) string {
	id := func(r *record.Record) string {
		if r == nil {
			return "-"
		}
		return r.ID()
	}
	var b strings.Builder
	fmt.Fprintf(&b, "last %s, meters %s, battery %s", id(e.LastVisit), id(e.Meters), id(e.Battery))
	for _, s := range e.LastServices {
		fmt.Fprintf(&b, ", %s %s", s.Level, s.Visit.ID())
	}
	for _, o := range e.OpenItems {
		fmt.Fprintf(&b, "; item %s of %s due %s carried %d", o.Item, o.RaisedIn, o.Due, o.TimesCarried)
	}
	for _, t := range e.Tags {
		fmt.Fprintf(&b, "; tag %s of %s", t.Tag, t.PlacedIn)
	}
	for _, r := range e.Restrictions {
		fmt.Fprintf(&b, "; restriction %s of %s until %s", r.ID, r.PlacedIn, r.Until)
	}
	for _, c := range e.MeterChanges {
		fmt.Fprintf(&b, "; %s meter changed by %s", c.Meter, c.RecordedIn)
	}
	return b.String()
}
