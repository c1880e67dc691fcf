package stream_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"iter"
	"os"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

// The smallest release, of three rules, and an invented visit to its machine.
const (
	release   = "../ruleset/testdata/small"
	visitFile = "../../cmd/visitgauge/testdata/visit.json"
)

// kit is what a test judges with.
type kit struct {
	decoder *record.Decoder
	rules   *stream.Rules
	visit   []byte
}

func newKit(t testing.TB) kit {
	t.Helper()
	visits, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(visitFile)
	if err != nil {
		t.Fatal(err)
	}
	return kit{
		decoder: record.NewDecoder(visits, record.Limits{}),
		rules:   stream.ByFolder(os.DirFS(release), false),
		visit:   data,
	}
}

// item is the visit under another id, with one text in the place of another.
func (b kit) item(t testing.TB, n int, edit ...string) record.Item {
	t.Helper()
	edit = append([]string{`"id": "V-1"`, fmt.Sprintf(`"id": "V-%d"`, n)}, edit...)
	data := string(b.visit)
	for i := 0; i < len(edit); i += 2 {
		if !strings.Contains(data, edit[i]) {
			t.Fatalf("the visit does not hold %s", edit[i])
		}
		data = strings.Replace(data, edit[i], edit[i+1], 1)
	}
	return record.Item{Source: fmt.Sprintf("%d.json", n), FirstLine: 1, Data: []byte(data)}
}

// faulty edits a visit so that the smallest release gives no answer to it.
var faulty = []string{
	`"ended_as": "completed"`,
	`"ended_as": "cut-short", "cut_short": {"cause": "site", "reason": "it closed", "at": "2026-05-04T09:00:00+02:00"}`,
}

// collect runs the items and lists the ids told, a refused one as its message.
func (b kit) collect(t testing.TB, ctx context.Context, items iter.Seq[record.Item], workers int) ([]string, error) {
	var told []string
	err := stream.Run(ctx, items, stream.Options{Decoder: b.decoder, Rules: b.rules, Workers: workers}, func(r stream.Result) error {
		if (r.Verdict == nil) == (len(r.Problems) == 0) {
			t.Errorf("a result has both or neither: %+v", r)
		}
		if r.Verdict != nil {
			told = append(told, r.Verdict.Visit.ID)
		} else {
			told = append(told, "refused "+r.Problems[0].Source)
		}
		return nil
	})
	return told, err
}

func TestInputOrderHolds(t *testing.T) {
	b := newKit(t)
	var items []record.Item
	var want []string
	for n := range 25 {
		if n%7 == 3 {
			items = append(items, b.item(t, n, `"schema": "visit/1"`, `"schema": "visit/9"`))
			want = append(want, fmt.Sprintf("refused %d.json", n))
			continue
		}
		items = append(items, b.item(t, n))
		want = append(want, fmt.Sprintf("V-%d", n))
	}
	for _, workers := range []int{0, 1, 2, 8} {
		got, err := b.collect(t, t.Context(), slices.Values(items), workers)
		if err != nil || !slices.Equal(got, want) {
			t.Errorf("%d workers: %v\ngot  %q\nwant %q", workers, err, got, want)
		}
	}
}

// The verdicts must not depend on how many are judged at a time, not even what
// visits are compared with.
func TestVerdictsAreAlikeWithAnyNumberOfWorkers(t *testing.T) {
	b := newKit(t)
	var items []record.Item
	for n := range 12 {
		day := fmt.Sprintf("2026-04-%02d", n/2+1)
		items = append(items, b.item(t, n,
			`"serial": "M-1"`, fmt.Sprintf(`"serial": "M-%d"`, n%2),
			`"started": "2026-05-04`, `"started": "`+day,
			`"ended": "2026-05-04`, `"ended": "`+day))
	}
	var first []byte
	for _, workers := range []int{1, 2, 7} {
		var out bytes.Buffer
		slots := 0
		err := stream.Run(t.Context(), slices.Values(items), stream.Options{Decoder: b.decoder, Rules: b.rules, Workers: workers}, func(r stream.Result) error {
			line, err := verdict.Encode(r.Verdict)
			out.Write(append(line, '\n'))
			slots += len(r.Verdict.Earlier)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		if slots == 0 {
			t.Fatal("no visit was compared with another")
		}
		if first == nil {
			first = out.Bytes()
		}
		if !bytes.Equal(out.Bytes(), first) {
			t.Errorf("with %d workers the verdicts differ", workers)
		}
	}
}

func TestFaultEndsTheRun(t *testing.T) {
	b := newKit(t)
	items := []record.Item{b.item(t, 1), b.item(t, 2), b.item(t, 3, faulty...), b.item(t, 4), b.item(t, 5)}
	for _, workers := range []int{1, 4} {
		got, err := b.collect(t, t.Context(), slices.Values(items), workers)
		var fault *judge.Fault
		if !errors.As(err, &fault) {
			t.Errorf("%d workers: error %v, want a fault of the rules", workers, err)
		}
		if want := []string{"V-1", "V-2"}; !slices.Equal(got, want) {
			t.Errorf("%d workers: told %q, want %q", workers, got, want)
		}
	}
}

func TestErrorOfEmitEndsTheRun(t *testing.T) {
	b := newKit(t)
	wrong := errors.New("disk full")
	taken := 0
	items := func(yield func(record.Item) bool) {
		for taken = 0; taken < 1000; taken++ {
			if !yield(b.item(t, taken)) {
				return
			}
		}
	}
	told := 0
	err := stream.Run(t.Context(), items, stream.Options{Decoder: b.decoder, Rules: b.rules, Workers: 2}, func(stream.Result) error {
		told++
		return wrong
	})
	if !errors.Is(err, wrong) || told != 1 {
		t.Errorf("error %v after %d were told, want that of the first", err, told)
	}
}

// However many there are, no more is taken from the source than the window and
// the workers have room for.
func TestNoMoreIsHeldThanTheWindow(t *testing.T) {
	b := newKit(t)
	const workers = 2
	var taken, told, most atomic.Int64
	items := func(yield func(record.Item) bool) {
		for n := range 60 {
			taken.Add(1)
			if !yield(b.item(t, n)) {
				return
			}
		}
	}
	err := stream.Run(t.Context(), items, stream.Options{Decoder: b.decoder, Rules: b.rules, Workers: workers}, func(stream.Result) error {
		if told.Add(1)%10 == 0 {
			time.Sleep(20 * time.Millisecond) // lets the source run ahead as far as it can
		}
		most.Store(max(most.Load(), taken.Load()-told.Load()))
		return nil
	})
	if err != nil || told.Load() != 60 {
		t.Fatalf("%d told, error %v", told.Load(), err)
	}
	// The window, one that is told, one that waits for a slot and one that waits
	// to be taken.
	if room := int64(4*workers + 3); most.Load() > room {
		t.Errorf("%d records were held at a time, want at most %d", most.Load(), room)
	}
}

func TestInterruptedBySilence(t *testing.T) {
	b := newKit(t)
	ctx, cancel := context.WithCancel(t.Context())
	silent := make(chan struct{})
	defer close(silent)
	items := func(yield func(record.Item) bool) {
		for n := range 5 {
			if !yield(b.item(t, n)) {
				return
			}
		}
		<-silent // a source that says no more and does not end
	}
	var told []string
	err := stream.Run(ctx, items, stream.Options{Decoder: b.decoder, Rules: b.rules, Workers: 2}, func(r stream.Result) error {
		told = append(told, r.Verdict.Visit.ID)
		if len(told) == 5 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, stream.ErrInterrupted) || len(told) != 5 {
		t.Errorf("told %q, error %v, want all five and %v", told, err, stream.ErrInterrupted)
	}
}

// What was begun when the run was interrupted is finished and told, without a
// gap.
func TestInterruptedInTheMidst(t *testing.T) {
	b := newKit(t)
	ctx, cancel := context.WithCancel(t.Context())
	items := func(yield func(record.Item) bool) {
		for n := 0; yield(b.item(t, n)); n++ {
		}
	}
	n := 0
	err := stream.Run(ctx, items, stream.Options{Decoder: b.decoder, Rules: b.rules, Workers: 4}, func(r stream.Result) error {
		if want := fmt.Sprintf("V-%d", n); r.Verdict.Visit.ID != want {
			t.Errorf("told %s, want %s", r.Verdict.Visit.ID, want)
		}
		if n++; n == 10 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, stream.ErrInterrupted) || n < 10 {
		t.Errorf("%d told, error %v", n, err)
	}
}

// A run leaves no goroutine behind, however it ends.
func TestNothingIsLeftRunning(t *testing.T) {
	b := newKit(t)
	if _, err := b.collect(t, t.Context(), slices.Values([]record.Item{b.item(t, 1)}), 1); err != nil {
		t.Fatal(err) // loads the rules
	}
	before := runtime.NumGoroutine()
	many := func(yield func(record.Item) bool) {
		for n := 0; n < 40 && yield(b.item(t, n)); n++ {
		}
	}
	cancelled, cancel := context.WithCancel(t.Context())
	cancel()
	_, _ = b.collect(t, cancelled, many, 3)
	_, _ = b.collect(t, t.Context(), many, 3)
	_, _ = b.collect(t, t.Context(), slices.Values([]record.Item{b.item(t, 1, faulty...), b.item(t, 2), b.item(t, 3)}), 3)
	deadline := time.Now().Add(5 * time.Second)
	for runtime.NumGoroutine() > before {
		if time.Now().After(deadline) {
			t.Fatalf("%d goroutines, %d before", runtime.NumGoroutine(), before)
		}
		time.Sleep(5 * time.Millisecond)
	}
}

func TestLoad(t *testing.T) {
	b := newKit(t)
	tracker := &history.Tracker{}
	refused := 0
	items := []record.Item{
		b.item(t, 1, `"schema": "visit/1"`, `"schema": "visit/9"`),
		b.item(t, 2, `"started": "2026-05-04`, `"started": "2026-05-01`, `"ended": "2026-05-04`, `"ended": "2026-05-01`),
	}
	err := stream.Load(t.Context(), slices.Values(items), b.decoder, tracker, func(record.Problems) error {
		refused++
		return nil
	})
	if err != nil || refused != 1 {
		t.Fatalf("%d refused, error %v", refused, err)
	}
	today := b.item(t, 3)
	rec, err := b.decoder.Decode(today.Source, 1, today.Data)
	if err != nil {
		t.Fatal(err)
	}
	if last := tracker.Earlier(rec).LastVisit; last == nil || last.ID() != "V-2" {
		t.Errorf("last visit %v, want V-2", last)
	}
	cancelled, cancel := context.WithCancel(t.Context())
	cancel()
	if err := stream.Load(cancelled, slices.Values(items), b.decoder, tracker, nil); !errors.Is(err, stream.ErrInterrupted) {
		t.Errorf("error %v, want %v", err, stream.ErrInterrupted)
	}
}

// Earlier records may come from a source that says no more too.
func TestLoadInterruptedBySilence(t *testing.T) {
	b := newKit(t)
	ctx, cancel := context.WithCancel(t.Context())
	silent := make(chan struct{})
	defer close(silent)
	items := func(yield func(record.Item) bool) {
		if yield(b.item(t, 1)) {
			cancel()
			<-silent
		}
	}
	ended := make(chan error, 1)
	go func() { ended <- stream.Load(ctx, items, b.decoder, &history.Tracker{}, nil) }()
	select {
	case err := <-ended:
		if !errors.Is(err, stream.ErrInterrupted) {
			t.Errorf("error %v, want %v", err, stream.ErrInterrupted)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("it waits for the source although it was interrupted")
	}
}
