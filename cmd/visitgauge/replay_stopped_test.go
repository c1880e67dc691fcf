package main

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	_ "modernc.org/sqlite" // to look into a cache
)

// TestReplayStopped interrupts and kills replays as processes, at one moment after
// another. The runs go on from what is cached, and the last comes to the same as one
// that was left alone.
func TestReplayStopped(t *testing.T) {
	const visits = 300
	dir, self := t.TempDir(), program(t, ".")
	base, err := os.ReadFile("testdata/visit.json")
	if err != nil {
		t.Fatal(err)
	}
	var lines bytes.Buffer
	for n := range visits {
		line := strings.NewReplacer("\n", " ", `"V-1"`, fmt.Sprintf(`"V-%d"`, n), `"M-1"`, fmt.Sprintf(`"M-%d"`, n%20)).Replace(string(base))
		lines.WriteString(line + "\n")
	}
	input := filepath.Join(dir, "visits.jsonl")
	if err := os.WriteFile(input, lines.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	changed := filepath.Join(dir, "changed")
	if err := os.CopyFS(changed, os.DirFS(smallRelease())); err != nil {
		t.Fatal(err)
	}
	limits, err := os.ReadFile(filepath.Join(changed, "limits.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	raised := bytes.Replace(limits, []byte("min: 1.260"), []byte("min: 1.266"), 1)
	if err := os.WriteFile(filepath.Join(changed, "limits.yaml"), raised, 0o666); err != nil {
		t.Fatal(err)
	}
	replay := func(more ...string) *exec.Cmd {
		return exec.Command(self, append([]string{"replay", "--under", changed, "--against", smallRelease(), "--format", "json", input}, more...)...)
	}
	whole, err := replay("--no-cache").Output()
	if err != nil || bytes.Count(whole, []byte(`"visit": "V-`)) < visits {
		t.Fatalf("%v: %d bytes", err, len(whole))
	}
	cache := filepath.Join(dir, "cache")
	interrupted, killed := 0, 0
	for round := range 60 {
		out := filepath.Join(dir, "out.json")
		cmd := replay("--cache", cache, "--output", out, "--workers", "1")
		var words bytes.Buffer
		cmd.Stderr = &words
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		stop := syscall.SIGINT
		if round%2 == 1 {
			stop = syscall.SIGKILL
		}
		time.Sleep(time.Duration(150+97*round) * time.Millisecond)
		_ = cmd.Process.Signal(stop) // the only failure is that it has ended, which Wait tells
		err := cmd.Wait()
		if err == nil {
			got, err := os.ReadFile(out)
			if err != nil || !bytes.Equal(got, whole) {
				t.Fatalf("the run that went on came to another result: %v", err)
			}
			break
		}
		if _, err := os.Stat(out); err == nil {
			t.Fatal("a run that was stopped left a report")
		}
		var exit *exec.ExitError
		if errors.As(err, &exit) && exit.ExitCode() == exitUnjudged && strings.Contains(words.String(), "interrupted") {
			interrupted++
		} else if stop == syscall.SIGKILL {
			killed++
		} else if exit.ExitCode() != -1 { // before it listened for the signal
			t.Fatalf("%v: %s", err, words.String())
		}
	}
	if interrupted == 0 || killed == 0 {
		t.Errorf("%d runs were interrupted and %d killed", interrupted, killed)
	}
	db, err := sql.Open("sqlite", cache)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	n := 0
	if err := db.QueryRowContext(t.Context(), "SELECT count(*) FROM found").Scan(&n); err != nil || n != visits {
		t.Errorf("%d results are cached, want %d: %v", n, visits, err)
	}
	t.Logf("%d runs were interrupted, %d killed", interrupted, killed)
}
