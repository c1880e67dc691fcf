package archive

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

// deedEnv has the test program do one thing with an archive, as a process of its
// own that can be killed.
const deedEnv = "ARCHIVE_TEST_DEED"

func TestMain(m *testing.M) {
	deed, path, ok := strings.Cut(os.Getenv(deedEnv), " ")
	if !ok {
		os.Exit(m.Run())
	}
	if err := map[string]func(string) error{"add": addWithoutEnd, "hold": hold}[deed](path); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// process starts the test program for a deed.
func process(t *testing.T, deed, path string) (cmd *exec.Cmd, in io.WriteCloser, out *bufio.Scanner) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd = exec.Command(self)
	cmd.Env = append(os.Environ(), deedEnv+"="+deed+" "+path)
	cmd.Stderr = os.Stderr
	if in, err = cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	pipe, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return cmd, in, bufio.NewScanner(pipe)
}

// plainDecoder accepts what has an id, so that a process of a few milliseconds
// need not compile the schema of visits.
func plainDecoder() (*record.Decoder, error) {
	s, err := schema.CompileBytes(schema.Base+"plain", []byte(`{"type":"object","required":["id"]}`))
	if err != nil {
		return nil, err
	}
	return record.NewDecoder(s, record.Limits{}), nil
}

// addWithoutEnd adds visits, each with a verdict, and prints each id once it is
// acknowledged.
func addWithoutEnd(path string) error {
	decoder, err := plainDecoder()
	if err != nil {
		return err
	}
	a, err := Open(context.Background(), path, Options{Create: true})
	if err != nil {
		return err
	}
	n, err := size(context.Background(), a.db)
	if err != nil {
		return err
	}
	for ; ; n++ {
		id := fmt.Sprintf("V-%06d", n)
		// Large enough to take several pages.
		data := fmt.Appendf(nil, `{"id":%q,"machine":{"serial":"M-1"},"noise":"%x"}`, id, noise(3000))
		rec, err := decoder.Decode(id, 1, data)
		if err != nil {
			return err
		}
		err = a.Do(context.Background(), func(b *Batch) error {
			if _, err := b.Add(rec, Receipt{}); err != nil {
				return err
			}
			_, err := b.AddVerdict(Judgement{Verdict: judged(rec, "1.0.0", verdict.Accepted)})
			return err
		})
		if err != nil {
			return err
		}
		fmt.Println(id)
	}
}

func noise(n int) []byte {
	data := make([]byte, n)
	for i := range data {
		data[i] = byte(rand.Uint32())
	}
	return data
}

// hold keeps the archive locked until its input ends.
func hold(path string) error {
	a, err := Open(context.Background(), path, Options{})
	if err != nil {
		return err
	}
	return a.Do(context.Background(), func(*Batch) error {
		fmt.Println("held")
		_, err := io.Copy(io.Discard, os.Stdin)
		return err
	})
}

// kills is how often a process is killed.
const kills = 200

// TestKilledAtAnyMoment kills processes that add to one archive, each at some
// moment after its first acknowledgement. All that was acknowledged must be there,
// whole, and nothing half written.
func TestKilledAtAnyMoment(t *testing.T) {
	path := filepath.Join(t.TempDir(), "visits.archive")
	acknowledged, interrupted := 0, 0
	for n := range kills {
		cmd, _, out := process(t, "add", path)
		var ids []string
		for out.Scan() {
			if ids = append(ids, out.Text()); len(ids) == 1 {
				go func() {
					time.Sleep(time.Duration(rand.IntN(15000)) * time.Microsecond)
					_ = cmd.Process.Kill() // the only failure is that it has ended, which Wait tells
				}()
			}
		}
		var killed *exec.ExitError
		if err := cmd.Wait(); !errors.As(err, &killed) || killed.Exited() || len(ids) == 0 {
			t.Fatalf("process %d ended by itself: %v", n, err)
		}
		if _, err := os.Stat(path + "-journal"); err == nil {
			interrupted++
		}
		acknowledged += len(ids)
		a, err := Open(t.Context(), path, Options{ReadOnly: n%2 == 0})
		if err != nil {
			t.Fatalf("after %d kills: %v", n+1, err)
		}
		for _, id := range ids {
			v, err := a.Visit(t.Context(), id)
			if err != nil || len(v.Entries) != 2 {
				t.Fatalf("after %d kills: %s was acknowledged and has %d entries, %v", n+1, id, len(v.Entries), err)
			}
		}
		if n%20 == 19 {
			v := sound(t, a)
			// A process may be killed between the disk and its acknowledgement.
			if v.Visits < acknowledged || v.Visits > acknowledged+n+1 || v.Verdicts != v.Visits {
				t.Fatalf("after %d kills: %d visits and %d verdicts, %d acknowledged", n+1, v.Visits, v.Verdicts, acknowledged)
			}
		}
		if err := a.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if interrupted == 0 {
		t.Error("no process was killed in the middle of an addition; the test shows nothing")
	}
	t.Logf("%d processes killed, %d in the middle of an addition; %d visits acknowledged, none lost", kills, interrupted, acknowledged)
}

// TestSettingsOfDurability asks the database whether it will wait for the disk.
func TestSettingsOfDurability(t *testing.T) {
	a := newArchive(t)
	for pragma, want := range map[string]string{"synchronous": "3", "journal_mode": "delete", "secure_delete": "1"} {
		var got string
		if err := a.db.QueryRow("PRAGMA " + pragma).Scan(&got); err != nil || got != want {
			t.Errorf("%s is %s, %v; want %s", pragma, got, err, want)
		}
	}
}

// TestTwoProcesses adds to an archive that another process holds: it waits as long
// as it may, and then says who holds it.
func TestTwoProcesses(t *testing.T) {
	rec := newWorkshop().record(t, "V-1", 0, "WB-1", nil)
	path := filepath.Join(t.TempDir(), "visits.archive")
	if err := openArchive(t, path, Options{Create: true}).Close(); err != nil {
		t.Fatal(err)
	}
	cmd, in, out := process(t, "hold", path)
	if !out.Scan() || out.Text() != "held" {
		t.Fatal("the other process does not hold the archive")
	}
	hasty := openArchive(t, path, Options{Wait: 100 * time.Millisecond})
	_, err := hasty.Add(t.Context(), rec, Receipt{})
	want := "held by another process for 100ms"
	if runtime.GOOS == "linux" {
		want = fmt.Sprintf("held by process %d for 100ms", cmd.Process.Pid)
	}
	if err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("got %v, want %s", err, want)
	}
	if _, err := hasty.Visit(t.Context(), "V-1"); err == nil {
		t.Error("it was added though it was refused")
	}
	patient := openArchive(t, path, Options{Wait: time.Minute})
	done := make(chan error, 1)
	go func() {
		_, err := patient.Add(context.WithoutCancel(t.Context()), rec, Receipt{})
		done <- err
	}()
	select {
	case err := <-done:
		t.Fatalf("it did not wait: %v", err)
	case <-time.After(200 * time.Millisecond):
	}
	if err := in.Close(); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Fatal(err)
	}
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	sound(t, hasty)
}

// TestManyAtOnce reads and writes from several goroutines.
func TestManyAtOnce(t *testing.T) {
	a, w := newArchive(t), newWorkshop()
	var records []*record.Record
	for n := range 12 {
		records = append(records, w.record(t, fmt.Sprintf("V-%d", n), n, "WB-1", nil))
	}
	var all sync.WaitGroup
	for worker := range 4 {
		all.Go(func() {
			for i := range records {
				if _, err := a.Add(t.Context(), records[(i+3*worker)%len(records)], Receipt{}); err != nil {
					t.Error(err)
				}
				for _, err := range a.Visits(t.Context(), Filter{}) {
					if err != nil {
						t.Error(err)
					}
				}
			}
		})
	}
	all.Wait()
	if v := sound(t, a); v.Size != int64(len(records)) {
		t.Errorf("%d entries, want %d", v.Size, len(records))
	}
}

// TestDiskFull lets the file not grow any more: the addition is refused whole, and
// what was there stays. SQLite gives the same error as for a disk without room.
func TestDiskFull(t *testing.T) {
	a, _ := filled(t, 3)
	w := newWorkshop()
	var pages int
	if err := a.db.QueryRow("PRAGMA page_count").Scan(&pages); err != nil {
		t.Fatal(err)
	}
	limit := func(n int) {
		t.Helper()
		var got int
		if err := a.db.QueryRow(fmt.Sprintf("PRAGMA max_page_count = %d", n)).Scan(&got); err != nil || got != n {
			t.Fatalf("limit %d: %d, %v", n, got, err)
		}
	}
	for more := range 2 { // to give up at several places of an addition
		limit(pages + more)
		rec := w.record(t, "V-777", 9, "WB-1", map[string]any{"note": fmt.Sprintf("%x", noise(900))})
		_, err := a.Add(t.Context(), rec, Receipt{})
		if err == nil || !strings.Contains(err.Error(), "there is no room left\nmake room") {
			t.Fatalf("with room for %d pages more: %v", more, err)
		}
		if v := sound(t, a); v.Visits != 3 {
			t.Errorf("%d visits, want 3", v.Visits)
		}
	}
	limit(1 << 20)
	add(t, a, w.record(t, "V-777", 9, "WB-1", nil), "1.0.0", verdict.Accepted)
	if v := sound(t, a); v.Visits != 4 {
		t.Errorf("%d visits, want 4", v.Visits)
	}
}
