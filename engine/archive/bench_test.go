package archive

import (
	"fmt"
	"testing"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// visitsOf makes records as large as those of a full service.
func visitsOf(b *testing.B, n int) []*record.Record {
	b.Helper()
	w := newWorkshop()
	var records []*record.Record
	for i := range n {
		records = append(records, w.record(b, fmt.Sprintf("V-%06d", i), i, fmt.Sprintf("WB-%d", i/12), nil))
	}
	return records
}

// BenchmarkAdd adds a visit and a verdict at a time, each on the disk before the
// next.
func BenchmarkAdd(b *testing.B) {
	a, records := newArchive(b), visitsOf(b, 200)
	n := 0
	for b.Loop() {
		if n == len(records) {
			b.StopTimer()
			a, n = newArchive(b), 0
			b.StartTimer()
		}
		add(b, a, records[n], "1.0.0", verdict.Accepted)
		n++
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "visits/s")
}

// BenchmarkAddTogether adds 64 visits and verdicts at a time.
func BenchmarkAddTogether(b *testing.B) {
	records := visitsOf(b, 64)
	for b.Loop() {
		b.StopTimer()
		a := newArchive(b)
		b.StartTimer()
		err := a.Do(b.Context(), func(batch *Batch) error {
			for _, rec := range records {
				if err := addTo(batch, rec, "1.0.0", verdict.Accepted); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N*len(records))/b.Elapsed().Seconds(), "visits/s")
}

// BenchmarkVerify verifies an archive of 2,000 visits with their verdicts.
func BenchmarkVerify(b *testing.B) {
	a, _ := filled(b, 2000)
	for b.Loop() {
		sound(b, a)
	}
	b.ReportMetric(float64(b.N*2000)/b.Elapsed().Seconds(), "visits/s")
}

// BenchmarkVisits reads the entries of 2,000 visits, without their bytes.
func BenchmarkVisits(b *testing.B) {
	a, _ := filled(b, 2000)
	for b.Loop() {
		for _, err := range a.Visits(b.Context(), Filter{}) {
			if err != nil {
				b.Fatal(err)
			}
		}
	}
	b.ReportMetric(float64(b.N*2000)/b.Elapsed().Seconds(), "visits/s")
}
