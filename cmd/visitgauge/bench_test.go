package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/policies"
	"github.com/visitgauge/visitgauge/schema"
)

// benchRelease is the release that is measured.
const benchRelease = "1.0.0"

// baseVisits are the spotless visits of the release, one of each class, each on
// one line, sorted by name.
func baseVisits(t testing.TB) [][]byte {
	t.Helper()
	files, err := fs.Glob(policies.FS, benchRelease+"/examples/base/*.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("the release has no base visits: %v", err)
	}
	visits := map[string][]byte{}
	for _, file := range files {
		data, err := policies.FS.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var doc map[string]json.RawMessage
		if err := json.Unmarshal(data, &doc); err != nil {
			t.Fatal(err)
		}
		for name, visit := range doc {
			var line bytes.Buffer
			if err := json.Compact(&line, visit); err != nil {
				t.Fatal(err)
			}
			visits[name] = line.Bytes()
		}
	}
	var out [][]byte
	for _, name := range slices.Sorted(maps.Keys(visits)) {
		out = append(out, visits[name])
	}
	return out
}

// releaseFolder is the release as it is built in.
func releaseFolder(t testing.TB) fs.FS {
	t.Helper()
	folder, err := fs.Sub(policies.FS, benchRelease)
	if err != nil {
		t.Fatal(err)
	}
	return folder
}

// released writes a policies folder to disk that holds the release as it is once
// it is released: with the catalogue of its texts, and vouched for. It returns
// that folder.
func released(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	folder := releaseFolder(t)
	catalogue, err := ruleset.BuildCatalogue(context.Background(), folder)
	if err != nil {
		t.Fatal(err)
	}
	own := filepath.Join(dir, benchRelease)
	if err := os.CopyFS(own, folder); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(own, ruleset.CatalogueFile), catalogue, 0o666); err != nil {
		t.Fatal(err)
	}
	digest, err := ruleset.Digest(os.DirFS(own))
	if err != nil {
		t.Fatal(err)
	}
	list := fmt.Sprintf("releases:\n  - {version: %s, state: released, from: \"2000-01-01\", digest: %q, author: bench, approved_by: bench, told: bench, note: measured}\n",
		benchRelease, digest)
	if err := os.WriteFile(filepath.Join(dir, ruleset.ReleasesFile), []byte(list), 0o666); err != nil {
		t.Fatal(err)
	}
	return dir
}

func newDecoder(t testing.TB) *record.Decoder {
	t.Helper()
	visits, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	return record.NewDecoder(visits, record.Limits{})
}

// cpuTime is what this process used of the processors so far, in user and system
// time together. On a machine that others use too it says more than a clock.
func cpuTime(t testing.TB) time.Duration {
	t.Helper()
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		t.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

// perVisit is a duration for each of n visits, in milliseconds.
func perVisit(d time.Duration, n int) float64 { return float64(d.Microseconds()) / 1000 / float64(n) }

// BenchmarkVisits judges visits as check does, from bytes to verdict, with the
// rules loaded before.
func BenchmarkVisits(b *testing.B) {
	data := baseVisits(b)
	for _, native := range []bool{false, true} {
		rules := stream.ByFolder(releaseFolder(b), native)
		for _, workers := range []int{1, 2} {
			b.Run(fmt.Sprintf("native=%t/workers=%d", native, workers), func(b *testing.B) {
				opt := stream.Options{Decoder: newDecoder(b), Rules: rules, Workers: workers}
				judge := func(n int) {
					items := func(yield func(record.Item) bool) {
						for i := range n {
							if !yield(record.Item{Source: "bench", FirstLine: 1, Data: data[i%len(data)]}) {
								return
							}
						}
					}
					told := 0
					err := stream.Run(context.Background(), items, opt, func(r stream.Result) error {
						if r.Verdict == nil {
							return r.Problems
						}
						told++
						return nil
					})
					if err != nil || told != n {
						b.Fatalf("%d of %d told: %v", told, n, err)
					}
				}
				judge(len(data)) // loads the rules
				b.ReportAllocs()
				began := cpuTime(b)
				b.ResetTimer()
				judge(b.N)
				b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "visits/s")
				b.ReportMetric(perVisit(cpuTime(b)-began, b.N), "cpu-ms/visit")
			})
		}
	}
}

// BenchmarkDecode reads visits, from bytes to record: the part of a run that is
// done in input order, whatever the number of workers.
func BenchmarkDecode(b *testing.B) {
	data, decoder := baseVisits(b), newDecoder(b)
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		if _, err := decoder.Decode("bench", 1, data[n%len(data)]); err != nil {
			b.Fatal(err)
		}
		n++
	}
}
