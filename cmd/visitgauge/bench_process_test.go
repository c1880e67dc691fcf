package main

import (
	"bufio"
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// manyVisits is how many visits the longest measurement of memory takes. Its
// default is short; the full one takes long.
var manyVisits = flag.Int("visits", 3000, "visits in the longer measurement of memory")

// program builds one of the commands below this folder.
func program(t testing.TB, pkg string) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "program")
	build := exec.Command("go", "build", "-o", out, pkg)
	build.Dir = scriptDir
	if text, err := build.CombinedOutput(); err != nil {
		t.Fatalf("building %s: %v\n%s", pkg, err, text)
	}
	return out
}

// BenchmarkCold compares check of one record, as a process from start to end,
// with a stock evaluator's process over the same files, for the sets of every
// rule. They run in turn. Medians are given: of the time on the clock, and of that
// on the processors.
func BenchmarkCold(b *testing.B) {
	policies := released(b)
	set, err := ruleset.Load(b.Context(), releaseFolder(b), ruleset.Options{})
	if err != nil {
		b.Fatal(err)
	}
	folder := filepath.Join(policies, benchRelease)
	query := newStock(b, folder, set).text
	visit := filepath.Join(b.TempDir(), "visit.json")
	if err := os.WriteFile(visit, baseVisits(b)[0], 0o666); err != nil {
		b.Fatal(err)
	}
	ours := program(b, ".")
	var input bytes.Buffer
	show := exec.Command(ours, "input", visit)
	show.Stdout = &input
	if err := show.Run(); err != nil {
		b.Fatal(err)
	}
	document := filepath.Join(b.TempDir(), "input.json")
	if err := os.WriteFile(document, input.Bytes(), 0o666); err != nil {
		b.Fatal(err)
	}
	commands := map[string][]string{
		"ours":  {ours, "check", "--policies", policies, visit},
		"stock": {program(b, "./internal/stockeval"), folder, document, query},
	}
	clock, cpu := map[string][]time.Duration{}, map[string][]time.Duration{}
	for b.Loop() {
		for name, args := range commands {
			cmd := exec.Command(args[0], args[1:]...)
			began := time.Now()
			if out, err := cmd.CombinedOutput(); err != nil {
				b.Fatalf("%s: %v\n%.2000s", name, err, out)
			}
			clock[name] = append(clock[name], time.Since(began))
			cpu[name] = append(cpu[name], cmd.ProcessState.UserTime()+cmd.ProcessState.SystemTime())
		}
	}
	for name := range commands {
		b.ReportMetric(perVisit(median(clock[name]), 1), name+"-ms")
		b.ReportMetric(perVisit(median(cpu[name]), 1), name+"-cpu-ms")
	}
	b.ReportMetric(float64(median(clock["stock"]))/float64(median(clock["ours"])), "stock/ours")
	b.ReportMetric(float64(median(cpu["stock"]))/float64(median(cpu["ours"])), "stock/ours-cpu")
}

func median(list []time.Duration) time.Duration {
	slices.Sort(list)
	return list[len(list)/2]
}

// BenchmarkMemory measures the most memory that a process had at a time (VmHWM),
// over 1,000 visits of the release and over as many as -visits says. The figures
// are in MB. The full run takes long:
//
//	go test ./cmd/visitgauge -run '^$' -bench Memory -benchtime 1x -timeout 0 -visits 100000
func BenchmarkMemory(b *testing.B) {
	policies, ours, visits := released(b), program(b, "."), baseVisits(b)
	for b.Loop() {
		few := peakMemory(b, []string{ours, "check", "--policies", policies, "--format", "json", "-"}, 1000, visits)
		many := peakMemory(b, []string{ours, "check", "--policies", policies, "--format", "json", "-"}, *manyVisits, visits)
		b.ReportMetric(few, "MB-1000")
		b.ReportMetric(many, fmt.Sprintf("MB-%d", *manyVisits))
		b.ReportMetric(many/few, "ratio")
	}
}

// TestMemoryDoesNotGrow judges many visits by the smallest release: a process
// must not need more for them than for few.
func TestMemoryDoesNotGrow(t *testing.T) {
	if testing.Short() {
		t.Skip("it judges thousands of visits")
	}
	visit, err := os.ReadFile("testdata/visit.json")
	if err != nil {
		t.Fatal(err)
	}
	line := bytes.Join(bytes.Fields(visit), []byte(" "))
	args := []string{program(t, "."), "check", "--policies", smallRelease(), "--format", "json", "--workers", "2", "-"}
	few := peakMemory(t, args, 300, [][]byte{line})
	many := peakMemory(t, args, 3000, [][]byte{line})
	t.Logf("%.1f MB over 300 visits, %.1f MB over 3000", few, many)
	if many > 1.3*few {
		t.Errorf("the process grew from %.1f MB over 300 visits to %.1f MB over 3000", few, many)
	}
}

// machines is how many machines the visits are spread over.
const machines = 60

// peakMemory feeds a process with n visits made of the given ones, waits until
// it has told of all, and reads the most memory it had so far, in MB.
func peakMemory(t testing.TB, args []string, n int, visits [][]byte) float64 {
	t.Helper()
	if runtime.GOOS != "linux" {
		t.Skip("the peak of a process is read from /proc")
	}
	cmd := exec.Command(args[0], args[1:]...)
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	fed := make(chan error, 1)
	go func() {
		for i := range n {
			if _, err := in.Write(varied(visits[i%len(visits)], i)); err != nil {
				fed <- err
				return
			}
		}
		fed <- nil
	}()
	lines := bufio.NewReader(out)
	for told := 0; told < n; {
		part, err := lines.ReadSlice('\n')
		if err == nil {
			told++
		} else if err != bufio.ErrBufferFull {
			t.Fatalf("%d of %d visits were told: %v\n%s%.500s", told, n, err, stderr.Bytes(), part)
		}
	}
	most := mostMemory(t, cmd)
	if err := <-fed; err != nil {
		t.Fatal(err)
	}
	if err := in.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := io.Copy(io.Discard, lines); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Fatalf("%v\n%s", err, stderr.Bytes())
	}
	return most
}

// mostMemory is the most memory that a process which still runs had so far, in MB.
// What it is told of one that has ended counts the memory of its parent.
func mostMemory(t testing.TB, cmd *exec.Cmd) float64 {
	t.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", cmd.Process.Pid))
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`VmHWM:\s+(\d+) kB`).FindSubmatch(status)
	if found == nil {
		t.Fatal("the status of the process names no VmHWM")
	}
	kB, err := strconv.Atoi(string(found[1]))
	if err != nil {
		t.Fatal(err)
	}
	return float64(kB) / 1000
}

var (
	idField     = regexp.MustCompile(`"id": ?"V-[^"]*"`)
	serialField = regexp.MustCompile(`"serial": ?"[^"]*", ?"class"`)
)

// varied is a visit under an id of its own, to one of the machines, on a line.
func varied(visit []byte, n int) []byte {
	line := idField.ReplaceAll(visit, fmt.Appendf(nil, `"id":"V-%d"`, n))
	line = serialField.ReplaceAll(line, fmt.Appendf(nil, `"serial":"M-%d","class"`, n%machines))
	return append(line, '\n')
}
