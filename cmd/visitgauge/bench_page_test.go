package main

import (
	"context"
	"errors"
	"io"
	"syscall"
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/reports"
)

// BenchmarkPage writes the page of a visit of the demo with all its pictures, and
// asks the release for its sheet, each alone.
func BenchmarkPage(b *testing.B) {
	var visits []reports.Visit
	demoSheets(b, func(r stream.Result) {
		if r.Verdict.Visit.ID == "V-0111" || r.Verdict.Visit.ID == "V-0102" {
			visits = append(visits, reports.Visit{Verdict: r.Verdict, Sheet: r.Sheet})
		}
	})
	if len(visits) != 2 {
		b.Fatalf("%d visits", len(visits))
	}
	b.ReportAllocs()
	before := processorTime(b)
	for b.Loop() {
		h := reports.NewHTML(reports.HTMLOptions{Page: io.Discard, Words: io.Discard})
		if err := errors.Join(h.Earlier(visits[0].Sheet), h.Visit(visits[1])); err != nil {
			b.Fatal(err)
		}
	}
	// The wall clock says more of the machine's other work than of this.
	b.ReportMetric(float64((processorTime(b)-before).Microseconds())/1000/float64(b.N), "cpu-ms/op")
}

// processorTime is what the process has used so far, collecting garbage included.
func processorTime(b *testing.B) time.Duration {
	b.Helper()
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

// demoSheets judges the demo and asks for its sheets.
func demoSheets(tb testing.TB, each func(stream.Result)) {
	tb.Helper()
	var flags caseFlags
	flags.limits = record.Limits{}
	decoder, err := flags.decoder()
	if err != nil {
		tb.Fatal(err)
	}
	rules, err := (&ruleFlags{release: benchRelease}).rules()
	if err != nil {
		tb.Fatal(err)
	}
	err = stream.Run(context.Background(), record.NewReader([]string{"../../testdata/demo"}, nil, record.Limits{}).All(), stream.Options{
		Decoder: decoder, Rules: rules, Sheets: true, Workers: 2,
	}, func(r stream.Result) error {
		if r.Verdict != nil {
			each(r)
		}
		return nil
	})
	if err != nil {
		tb.Fatal(err)
	}
}
