package reports_test

import (
	"fmt"
	"io"
	"runtime"
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports"
)

// peakHeap writes a report of n visits, which are one under ids of their own, and
// returns the most that lay on the heap, in MB, at twenty times in between, each
// after a collection, so that what is held shows and not what waits for one.
func peakHeap(t testing.TB, format string, v *verdict.Verdict, n int) float64 {
	t.Helper()
	r := formats[format](io.Discard, io.Discard)
	var summary reports.Summary
	var most uint64
	look := func() {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		most = max(most, m.HeapAlloc)
	}
	for i := range n {
		one := *v
		one.Visit.ID = fmt.Sprintf("V-%d", i)
		summary.Tally.Add(&one)
		if err := r.Visit(at(&one)); err != nil {
			t.Fatal(err)
		}
		if i%(n/20) == 0 {
			look()
		}
	}
	look()
	if err := r.End(summary); err != nil {
		t.Fatal(err)
	}
	return float64(most) / 1e6
}

// No format holds more for many visits than for few.
func TestFormatsHoldNoVisits(t *testing.T) {
	v := saved(t)["testdata/tagged"]
	for format := range formats {
		few, many := peakHeap(t, format, v, 40), peakHeap(t, format, v, 800)
		// 800 visits kept, of some 14 kB each as JSON, would be 11 MB.
		if many > few+2 {
			t.Errorf("%s: %.1f MB on the heap over 40 visits, %.1f MB over 800", format, few, many)
		}
	}
}

// BenchmarkFormats writes 1,000 and 10,000 verdicts of 30 outcomes each, and gives
// the most that lay on the heap at a time.
//
//	go test ./reports -run '^$' -bench Formats -benchtime 1x
func BenchmarkFormats(b *testing.B) {
	v := saved(b)["testdata/tagged"]
	for _, format := range []string{".jsonl", ".sarif", ".csv", ".xml", ".md"} {
		b.Run(format, func(b *testing.B) {
			for b.Loop() {
				few := peakHeap(b, format, v, 1000)
				began := time.Now()
				many := peakHeap(b, format, v, 10_000)
				b.ReportMetric(few, "MB-1000")
				b.ReportMetric(many, "MB-10000")
				b.ReportMetric(10_000/time.Since(began).Seconds(), "visits/s")
			}
		})
	}
}
