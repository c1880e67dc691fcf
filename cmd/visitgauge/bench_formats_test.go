package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os/exec"
	"path/filepath"
	"testing"
)

// BenchmarkReport writes reports of as many saved verdicts as -visits says, and of
// a tenth of that, which are one of the demo under ids of their own, as a process
// from start to end. It gives the most memory that the process had at a time, in
// MB, and its time on the processors a verdict. The full run takes long:
//
//	go test ./cmd/visitgauge -run '^$' -bench 'Report/sarif' -benchtime 1x -visits 10000
func BenchmarkReport(b *testing.B) {
	ours := program(b, ".")
	var out bytes.Buffer
	args := []string{"check", "--format", "json", filepath.Join(demo, "V-0107.json"), filepath.Join(demo, "V-0135.json")}
	if code := run(context.Background(), args, nil, &out, io.Discard); code != 0 {
		b.Fatalf("exit code %d", code)
	}
	lines := bytes.Split(bytes.TrimSpace(out.Bytes()), []byte("\n"))
	verdict := lines[len(lines)-1]
	for _, form := range formats {
		if form.folder {
			continue
		}
		b.Run(form.name, func(b *testing.B) {
			for b.Loop() {
				few, _ := retold(b, ours, form.name, verdict, *manyVisits/10)
				many, cpu := retold(b, ours, form.name, verdict, *manyVisits)
				b.ReportMetric(few, fmt.Sprintf("MB-%d", *manyVisits/10))
				b.ReportMetric(many, fmt.Sprintf("MB-%d", *manyVisits))
				b.ReportMetric(cpu, "cpu-ms/verdict")
			}
		})
	}
}

// retold feeds report with a verdict n times, and returns the most memory it had,
// in MB, and its processor time a verdict, in milliseconds.
func retold(b *testing.B, ours, format string, verdict []byte, n int) (mb, cpu float64) {
	b.Helper()
	cmd := exec.Command(ours, "report", "--format", format, "-")
	in, err := cmd.StdinPipe()
	if err != nil {
		b.Fatal(err)
	}
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	for i := range n {
		if _, err := in.Write(varied(verdict, i)); err != nil {
			b.Fatalf("%v\n%.500s", err, &stderr)
		}
	}
	mb = mostMemory(b, cmd) // all but what lies in the pipe is read
	if err := in.Close(); err != nil {
		b.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		b.Fatalf("%v\n%.500s", err, &stderr)
	}
	state := cmd.ProcessState
	return mb, float64((state.UserTime() + state.SystemTime()).Microseconds()) / 1000 / float64(n)
}
