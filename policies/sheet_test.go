package policies_test

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math/big"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/cover"
	"github.com/open-policy-agent/opa/v1/rego"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/sheet"
)

// sheets are those of the demo's visits, by visit.
func sheets(t *testing.T) map[string]*sheet.Sheet {
	t.Helper()
	b := newBench(t)
	out := map[string]*sheet.Sheet{}
	for _, visit := range demo(t) {
		s, err := b.judge.Sheet(t.Context(), judge.Case{Record: visit.record, Earlier: visit.earlier})
		if err != nil {
			t.Fatal(err)
		}
		v, with, err := b.judge.JudgeWithSheet(t.Context(), judge.Case{Record: visit.record, Earlier: visit.earlier})
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(v, visit.verdict) || !reflect.DeepEqual(with, s) {
			t.Errorf("visit %s: judged and laid out in one it comes to something else", visit.name)
		}
		if s.Figures == nil {
			t.Fatalf("visit %s: the release lays out no figures", visit.name)
		}
		out[visit.name] = s
	}
	return out
}

// TestSheetGravity demands that a page shows of a cell what the finding about it
// says: reading, temperature, corrected gravity and the gravity of a full charge.
func TestSheetGravity(t *testing.T) {
	laid := sheets(t)
	compared := 0
	for _, visit := range demo(t) {
		figures := laid[visit.name].Figures
		for _, o := range visit.verdict.Outcomes {
			if o.Rule != "condition.battery.full_charge_gravity" || !o.Finding() {
				continue
			}
			said := map[string]string{}
			for _, f := range o.Facts {
				said[f.Name] = f.Text
			}
			i := slices.IndexFunc(figures.Cells, func(c sheet.CellRow) bool { return "cell "+c.Cell == o.Subject })
			if i < 0 {
				t.Errorf("visit %s: no row for %s", visit.name, o.Subject)
				continue
			}
			if got := figures.FullCharge[0].Least.Text; got != said["limit"] {
				t.Errorf("visit %s: the page says a full charge reads %s, the finding %s", visit.name, got, said["limit"])
			}
			shown := map[string]string{}
			for _, g := range figures.Cells[i].GravityLeft {
				if g.Judged {
					shown = map[string]string{"corrected": g.Corrected.Text, "reading": g.Reading.Text, "temperature": g.Temperature.Text}
				}
			}
			for _, name := range []string{"corrected", "reading", "temperature"} {
				if shown[name] != said[name] {
					t.Errorf("visit %s, %s: the page shows %s %q, the finding says %q", visit.name, o.Subject, name, shown[name], said[name])
				}
			}
			if said["corrected"] != "" {
				compared++
			}
		}
	}
	if compared < 10 {
		t.Errorf("%d corrected gravities compared, too few to say anything", compared)
	}
}

// TestSheetPublished lays out the published examples of the correction that the
// release follows, and expects the corrected gravity that is published.
func TestSheetPublished(t *testing.T) {
	r := helpers(t)
	var file gravityFile
	published(t, "gravity-table.yaml", &file)
	var cases []map[string]any
	var want []decimal
	for _, e := range file.Examples {
		if e.Rule == "four-per-ten" {
			s := sample{reading: e.Reading, temperature: e.Temperature, unit: e.Unit}
			cases = append(cases, map[string]any{"visit": s.visit()})
			want = append(want, e.Corrected)
		}
	}
	if len(want) == 0 {
		t.Fatal("no example of the release's correction")
	}
	for i, a := range r.solve(t, `visit := c.visit; x := data.shared.sheet.gravity.left["cell B1.1"] with input.visit as visit`, cases) {
		rows := a.([]any)
		if len(rows) != 1 {
			t.Fatalf("%d rows", len(rows))
		}
		q := rows[0].(map[string]any)["corrected"].(map[string]any)
		if got := ratOf(t, []any{q["number"], q["scale"]}); got.Cmp(want[i].rat()) != 0 {
			t.Errorf("row %d: %s, published %s", i, got.FloatString(6), want[i])
		}
	}
}

// TestDueDays compares the calendar of the release with Go's, day by day over
// three leap-year rules: a fourth year, a hundredth and a four hundredth.
func TestDueDays(t *testing.T) {
	var cases []map[string]any
	var want []string
	for _, from := range []string{"1970-01-01", "1999-12-01", "2024-01-01", "2099-12-01", "2260-01-01"} {
		day, err := time.Parse(time.DateOnly, from)
		if err != nil {
			t.Fatal(err)
		}
		for range 460 {
			cases = append(cases, map[string]any{"day": day.Format(time.DateOnly)})
			day = day.AddDate(0, 0, 1)
			want = append(want, day.Format(time.DateOnly))
		}
	}
	for i, got := range helpers(t).solve(t, `x := data.shared.due.civil(data.shared.due.day_number(c.day) + 1)`, cases) {
		if got != want[i] {
			t.Fatalf("the day after %s is %v, not %s", cases[i]["day"], got, want[i])
		}
	}
}

// TestDue works out by other means, from what the sheets print, when each service
// of the demo is due: in hours left over hours a day, and in days.
func TestDue(t *testing.T) {
	byHours, byDays := 0, 0
	for _, s := range sheets(t) {
		today := mustDay(t, s.Visit.Started[:10])
		for _, service := range s.Figures.Services {
			if len(service.Counted) == 0 {
				if len(service.Due) > 0 {
					t.Errorf("visit %s, %s: due %v, counted from nothing", s.Visit.ID, service.Level, service.Due)
				}
				continue
			}
			every, err := strconv.Atoi(service.EveryDays)
			if err != nil {
				t.Fatal(err)
			}
			want := mustDay(t, service.Counted[0].Day).AddDate(0, 0, every)
			if got := service.ByDays[0]; got != want.Format(time.DateOnly) {
				t.Errorf("visit %s, %s: by days %s, want %s", s.Visit.ID, service.Level, got, want.Format(time.DateOnly))
			}
			for _, h := range service.ByHours {
				left := new(big.Rat).Sub(decimal(service.EveryHours).rat(), decimal(service.Run[0].Value).rat())
				if left.Sign() < 0 {
					left.SetInt64(0)
				}
				if decimal(h.ToRun.Value).rat().Cmp(left) != 0 {
					t.Errorf("visit %s, %s: %s left to run, want %s", s.Visit.ID, service.Level, h.ToRun.Text, left.FloatString(1))
				}
				rate := new(big.Rat).Quo(decimal(service.Rate[0].Run.Value).rat(), decimal(service.Rate[0].Days).rat())
				days := new(big.Rat).Quo(left, rate)
				whole := int(new(big.Int).Quo(days.Num(), days.Denom()).Int64())
				hours := today.AddDate(0, 0, whole)
				if h.Day != hours.Format(time.DateOnly) {
					t.Errorf("visit %s, %s: by hours %s, want %s", s.Visit.ID, service.Level, h.Day, hours.Format(time.DateOnly))
				}
				byHours++
				if hours.Before(want) {
					want = hours
				}
			}
			byDays++
			if got := service.Due[0]; got != want.Format(time.DateOnly) {
				t.Errorf("visit %s, %s: due %s, want %s", s.Visit.ID, service.Level, got, want.Format(time.DateOnly))
			}
		}
	}
	if byDays < 50 || byHours < 20 {
		t.Errorf("%d services by days and %d by hours, too few to say anything", byDays, byHours)
	}
}

func mustDay(t *testing.T, day string) time.Time {
	t.Helper()
	d, err := time.Parse(time.DateOnly, day)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// TestSheetReach demands that the demo, and one visit made from it, reach every
// line of what lays out a page: no rule's examples do.
func TestSheetReach(t *testing.T) {
	b := newBench(t)
	tracer := cover.New()
	query, err := rego.New(append(b.set.Rego(), rego.Query("x := [data.shared.sheet, data.shared.due.services]"))...).PrepareForEval(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, visit := range demo(t) {
		input, err := judge.Input(judge.Case{Record: visit.record, Earlier: visit.earlier})
		if err != nil {
			t.Fatal(err)
		}
		inputs := []any{decodeJSON(t, input)}
		if visit.name == "V-0111" {
			inputs = append(inputs, overdue(t, decodeJSON(t, input)))
		}
		for _, in := range inputs {
			if _, err := query.Eval(context.Background(), rego.EvalInput(in), rego.EvalQueryTracer(tracer)); err != nil {
				t.Fatal(err)
			}
		}
	}
	modules := map[string]*ast.Module{}
	for _, name := range []string{"shared/sheet.rego", "shared/due.rego"} {
		if modules[name] = b.set.Compiler().Modules[name]; modules[name] == nil {
			t.Fatalf("there is no %s", filepath.Join(b.release, name))
		}
	}
	report := tracer.Report(modules)
	for _, name := range slices.Sorted(maps.Keys(report.Files)) {
		var at []string
		for _, r := range report.Files[name].NotCovered {
			at = append(at, fmt.Sprint(r.Start.Row))
		}
		if len(at) > 0 {
			t.Errorf("%s: not reached in line %s", name, strings.Join(at, ", "))
		}
	}
}

// overdue makes of a visit a repair that found the service overdue, the one before
// done in part, the power-on meter dead and replaced once more, a meter not to be
// read, and a wrench nobody knows.
func overdue(t *testing.T, input any) any {
	t.Helper()
	visit := at(input, "visit").(map[string]any)
	visit["kind"] = "repair"
	meters := visit["meters"].([]any)
	at(meters[0], "reading", "as_found").(map[string]any)["value"] = json.Number("900")
	at(meters[0], "reading").(map[string]any)["as_left"] = map[string]any{"value": json.Number("0.1"), "unit": "h", "instrument": "display"}
	meters[1].(map[string]any)["reading"] = map[string]any{"not_obtained": map[string]any{"reason": "instrument-failed"}}
	at(visit["battery"].(map[string]any)["posts"].([]any)[0], "torque", "as_found").(map[string]any)["instrument"] = "tw-nobody"
	hours := func(n string) map[string]any { return map[string]any{"value": json.Number(n), "unit": "h"} }
	earlier := at(input, "earlier").(map[string]any)
	earlier["meter_changes"] = []any{map[string]any{
		"meter": "power-on", "old_last": hours("430"), "new_first": hours("430"), "recorded_in": "V-0105", "recorded_at": "2026-02-01T09:00:00+01:00",
	}}
	last := at(earlier["last_services"].([]any)[0], "visit").(map[string]any)
	last["steps"] = last["steps"].([]any)[1:]
	return input
}
