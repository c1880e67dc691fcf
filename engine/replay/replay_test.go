package replay_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

const (
	gravity = "condition.battery.full_charge_gravity"
	judged  = "procedure.closing.conditions_judged"
)

// raised raises a limit of the smallest release.
var raised = edit{"limits.yaml", "min: 1.260", "min: 1.264"}

// filled hands in visits of two machines, which read above the limit and raised
// limit, between them, and below.
func filled(t testing.TB, edits ...edit) *bench {
	t.Helper()
	b := newBench(t, edits...)
	b.check(items(
		b.visit("V-1", on(0), "M-1", "1.265", "1.265", "1.265"),
		b.visit("V-2", on(20), "M-1", "1.262", "1.265", "1.263"),
		b.visit("V-3", on(40), "M-1", "1.265", "1.265", "1.255"),
		b.visit("W-1", on(5), "M-2", "1.265", "1.263", "1.265"),
		b.visit("W-2", on(45), "M-2", "1.265", "1.265", "1.265"),
	))
	return b
}

// TestRaisedLimit replays under a release with a higher limit, and counts by hand.
func TestRaisedLimit(t *testing.T) {
	b := filled(t, raised)
	got := b.run(b.options("2.0.0"))
	want(t, "changed", changes(got),
		"W-1 serviceable→undetermined; full_charge_gravity cell B1.2: conforming → nonconforming, major; conditions_judged rule condition.battery.full_charge_gravity: conforming → nonconforming, minor",
		"V-2 serviceable→undetermined; full_charge_gravity cell B1.1: conforming → nonconforming, major; full_charge_gravity cell B1.3: conforming → nonconforming, major; conditions_judged rule condition.battery.full_charge_gravity: conforming → nonconforming, minor",
	)
	_ = got
}

func changes(r *replay.Replay) []string {
	out := []string{}
	for _, c := range r.Changed {
		text := fmt.Sprintf("%s %s→%s", c.Visit, c.Old.Serviceability, c.New.Serviceability)
		for _, o := range c.Outcomes {
			text += fmt.Sprintf("; %s %s: %s → %s", o.Rule[strings.LastIndexByte(o.Rule, '.')+1:], o.Subject, o.Old.Answer(), o.New.Answer())
		}
		out = append(out, text)
	}
	return out
}

func want(t *testing.T, what string, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("%s:\n%s\nwant\n%s", what, strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// TestSameInAnyWay replays the demo in each way that spares work, and without: the
// results are the same, to the byte.
func TestSameInAnyWay(t *testing.T) {
	b := benchOf(t, "../../policies")
	all := record.NewReader([]string{"../../testdata/demo"}, nil, record.Limits{}).All()
	b.check(all)
	opt := b.options("1.1.0")
	first := b.run(opt)
	if first.Visits.Judged < 30 || len(first.Changed) == 0 {
		t.Fatalf("%d visits, %d of them changed", first.Visits.Judged, len(first.Changed))
	}
	again := func(what string, opt replay.Options) {
		t.Helper()
		if got, want := encoded(t, b.run(opt)), encoded(t, first); got != want {
			t.Errorf("%s: another result\n%s", what, firstLineThatDiffers(got, want))
		}
	}
	full := opt
	full.InFull = true
	again("in full", full)

	files, err := archive.OpenFolder(t.Context(), record.NewReader([]string{"../../testdata/demo"}, nil, record.Limits{}).All(), b.decoder,
		func(record.Problems) error { return nil })
	if err != nil {
		t.Fatal(err)
	}
	folder := opt
	folder.From, folder.Workers = files, 1
	// Nobody said when these were received, which the archive's visits were.
	if got := b.run(folder); got.Visits != first.Visits {
		t.Errorf("from files: %+v, want %+v", got.Visits, first.Visits)
	}

	cached := opt
	if cached.Cache, err = replay.OpenCache(t.Context(), filepath.Join(t.TempDir(), "cache"), "program"); err != nil {
		t.Fatal(err)
	}
	defer cached.Cache.Close()
	again("into a cache", cached)
	cached.Workers = 5
	again("from a cache", cached)
}

func firstLineThatDiffers(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return fmt.Sprintf("line %d: %s\n   want %s", i+1, x[i], y[i])
		}
	}
	return fmt.Sprintf("%d lines, want %d", len(x), len(y))
}

// TestNotAsked gives a rule fields that the records' schema does not have: the visits
// are counted apart, and the rule decides nothing.
func TestNotAsked(t *testing.T) {
	b := filled(t, raised, edit{"condition/battery/full_charge_gravity.rego", "since: visit/1", "since: visit/2"})
	got := b.run(b.options("2.0.0"))
	if got.Visits.NotAsked != 5 || len(got.Changed) != 0 {
		t.Errorf("visits %+v, changed %q", got.Visits, changes(got))
	}
	i := slices.IndexFunc(got.Rules, func(r replay.RuleChange) bool { return r.Rule == gravity })
	if i < 0 || got.Rules[i].NotAsked != 5 || got.Rules[i].Indeterminate != 0 || len(got.Rules[i].Turned) != 0 {
		t.Errorf("rules %+v", got.Rules)
	}
}

// TestSelection chooses visits in each way there is.
func TestSelection(t *testing.T) {
	b := filled(t, raised)
	for _, c := range []struct {
		what        string
		filter      archive.Filter
		instruments []string
		visits      int
	}{
		{"all", archive.Filter{}, nil, 5},
		{"days", archive.Filter{From: on(20), To: on(40)}, nil, 2},
		{"machine", archive.Filter{Serials: []string{"M-2"}}, nil, 2},
		{"site", archive.Filter{Sites: []string{"site-9"}}, nil, 0},
		{"class", archive.Filter{Classes: []string{"one"}}, nil, 5},
		{"release", archive.Filter{Releases: []string{"2.0.0"}}, nil, 0},
		{"instrument", archive.Filter{}, []string{"hy-9", "hy-1"}, 5},
		{"instrument that read nothing", archive.Filter{}, []string{"hy-9"}, 0},
	} {
		opt := b.options("2.0.0")
		opt.Select = replay.Of(c.filter, c.instruments)
		if got := b.run(opt); got.Visits.Selected != c.visits || got.Visits.Judged != c.visits {
			t.Errorf("%s: %+v, want %d", c.what, got.Visits, c.visits)
		}
	}
}

// TestRedacted takes a visit away. It is listed, and what a cache held of it goes.
func TestRedacted(t *testing.T) {
	b := filled(t, raised)
	opt := b.options("2.0.0")
	path := filepath.Join(t.TempDir(), "cache")
	cache, err := replay.OpenCache(t.Context(), path, "program")
	if err != nil {
		t.Fatal(err)
	}
	opt.Cache = cache
	b.run(opt)
	v, err := b.archive.Visit(t.Context(), "V-2")
	if err != nil {
		t.Fatal(err)
	}
	digest := v.Standing().Record
	if _, err := b.archive.Redact(t.Context(), "V-2", archive.Decision{By: "lead-02", On: "2026-06-01", Reason: "asked for"}); err != nil {
		t.Fatal(err)
	}
	got := b.run(opt)
	if err := cache.Close(); err != nil {
		t.Fatal(err)
	}
	if len(got.NotJudged) != 1 || got.NotJudged[0].Visit != "V-2" || got.NotJudged[0].Why != replay.Redacted || got.Visits.Judged != 4 {
		t.Errorf("%+v %+v", got.NotJudged, got.Visits)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(data), digest) {
		t.Error("the cache still holds what was found for the redacted visit")
	}
}

// TestNoRelease asks about visits of days on which no rules were in force.
func TestNoRelease(t *testing.T) {
	b := newBench(t, raised)
	b.intake.Rules = stream.ByFolder(os.DirFS("../ruleset/testdata/small"), true)
	b.check(items(b.visit("V-1", "2025-06-01", "M-1"), b.visit("V-2", on(3), "M-1")))
	got := b.run(b.options("2.0.0"))
	if got.Visits.Judged != 1 || len(got.NotJudged) != 1 || got.NotJudged[0].Why != replay.NoRelease {
		t.Errorf("in force: %+v %+v", got.Visits, got.NotJudged)
	}
	// Their verdicts name a folder, which no list of releases has.
	opt := b.options("2.0.0")
	opt.Against = b.editions.Recorded
	got = b.run(opt)
	if got.Visits.Judged != 0 || len(got.NotJudged) != 2 || got.NotJudged[0].Why != replay.NoRelease {
		t.Errorf("recorded: %+v %+v", got.Visits, got.NotJudged)
	}
}

// conceded is a concession for what V-3 was found with.
func conceded() judge.Concession {
	return judge.Concession{Schema: "concession/1", ID: "C-1", Kind: judge.AfterTheFact, Visit: "V-3", Rule: gravity, Subject: "cell B1.3",
		Release: "1.0.0", Reason: "cell on order", Instead: "half load", From: on(0), To: on(60), GrantedBy: "lead-02", GrantedRole: "lead", GrantedOn: on(41)}
}

// TestConcessions judges a visit with a concession. It is applied on neither side, and
// told of for both.
func TestConcessions(t *testing.T) {
	b := newBench(t, raised)
	b.intake.Concessions = []judge.Concession{conceded()}
	b.check(items(b.visit("V-3", on(40), "M-1", "1.265", "1.262", "1.255")))
	v, err := b.archive.Visit(t.Context(), "V-3")
	if err != nil {
		t.Fatal(err)
	}
	entry, _ := v.Verdict()
	data, err := b.archive.Bytes(t.Context(), entry.Verdict)
	if err != nil || !strings.Contains(string(data), `"conceded_by":"C-1"`) {
		t.Fatalf("the recorded verdict rests on no concession: %v\n%s", err, data)
	}
	got := b.run(b.options("2.0.0"))
	if len(got.Changed) != 1 || len(got.Changed[0].Concessions) != 1 || !got.Changed[0].Concessions[0].Old || !got.Changed[0].Concessions[0].New {
		t.Fatalf("changed %+v", got.Changed)
	}
	if len(got.Concessions) != 1 || got.Concessions[0] != (replay.Concession{ID: "C-1", Rule: gravity, Subject: "cell B1.3", Visits: 1, Old: 1, New: 1}) {
		t.Errorf("concessions %+v", got.Concessions)
	}
	full := b.options("2.0.0")
	full.InFull = true
	if a, b := encoded(t, b.run(full)), encoded(t, got); a != b {
		t.Errorf("in full it is another result: %s", firstLineThatDiffers(a, b))
	}
	// It is applied where the verdict is reached again, or the bytes would differ.
	r, err := replay.Reproduce(t.Context(), b.options("2.0.0"), b.editions)
	if err != nil || !r.Proven() || r.Visits != 1 {
		t.Errorf("%+v, %v", r, err)
	}
}

// TestReproduce reaches every verdict again, and names those that differ.
func TestReproduce(t *testing.T) {
	b := filled(t, raised)
	r, err := replay.Reproduce(t.Context(), b.options("2.0.0"), b.editions)
	if err != nil || !r.Proven() || r.Visits != 5 || len(r.By) != 1 || r.By[0].Visits != 5 {
		t.Fatalf("%+v, %v", r, err)
	}
	// A verdict that the rules never gave.
	v, err := b.archive.Visit(t.Context(), "W-2")
	if err != nil {
		t.Fatal(err)
	}
	entry, _ := v.Verdict()
	forged := b.verdict(entry)
	forged.Serviceability, forged.NeedsAttention = verdict.Unserviceable, true
	if _, err := b.archive.AddVerdict(t.Context(), archive.Judgement{Verdict: forged, Compared: entry.Compared, Why: "a test"}); err != nil {
		t.Fatal(err)
	}
	// A visit handed in late, and those after it not judged again.
	late, err := b.decoder.Decode("late", 1, b.visit("V-0", on(30), "M-1"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.archive.Add(t.Context(), late, archive.Receipt{}); err != nil {
		t.Fatal(err)
	}
	r, err = replay.Reproduce(t.Context(), b.options("2.0.0"), b.editions)
	if err != nil {
		t.Fatal(err)
	}
	var said []string
	for _, d := range r.Differ {
		said = append(said, d.Visit+": "+d.What)
	}
	want(t, "differ", said,
		"V-3: the visits that it is compared with are others than when it was judged; answers and findings are the same, other bytes are not",
		"W-2: it was accepted, unserviceable, full and is accepted, serviceable, full")
	if len(r.NotReached) != 1 || r.NotReached[0].Visit != "V-0" || r.NotReached[0].Why != replay.NeverJudged || r.Same != 3 || r.Visits != 6 {
		t.Errorf("%+v", r)
	}
}

func (b *bench) verdict(entry archive.Entry) *verdict.Verdict {
	b.t.Helper()
	data, err := b.archive.Bytes(b.t.Context(), entry.Verdict)
	if err != nil {
		b.t.Fatal(err)
	}
	v, err := verdict.Decode(verdictSchema(b.t), data)
	if err != nil {
		b.t.Fatal(err)
	}
	return v
}

// TestStoppedRunGoesOn cancels a replay in the middle. The next one begins with what
// is cached and comes to the same.
func TestStoppedRunGoesOn(t *testing.T) {
	b := newBench(t, raised)
	var visits [][]byte
	for i := range 40 {
		visits = append(visits, b.visit(fmt.Sprintf("V-%02d", i), on(3*i), fmt.Sprintf("M-%d", i%4), "1.262"))
	}
	b.check(items(visits...))
	whole := encoded(t, b.run(b.options("2.0.0")))
	opt := b.options("2.0.0")
	path := filepath.Join(t.TempDir(), "cache")
	for stopAt := 5; ; stopAt += 10 {
		cache, err := replay.OpenCache(t.Context(), path, "program")
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithCancel(t.Context())
		opt.Cache = cache
		opt.Progress = func(done, of int) {
			if of != 40 {
				t.Errorf("%d visits to come, want 40", of)
			}
			if done == stopAt {
				cancel()
			}
		}
		got, err := replay.Run(ctx, opt)
		cancel()
		if closed := cache.Close(); closed != nil {
			t.Fatal(closed)
		}
		if err == nil {
			if stopAt < 40 {
				t.Errorf("stopped at %d, it went on to the end", stopAt)
			}
			if text := encoded(t, got); text != whole {
				t.Error("the run that went on came to another result: " + firstLineThatDiffers(text, whole))
			}
			return
		}
		if !errors.Is(err, stream.ErrInterrupted) {
			t.Fatal(err)
		}
		if n := kept(t, path); n < stopAt-8 {
			t.Errorf("stopped at %d, %d are cached", stopAt, n)
		}
	}
}

// TestCacheOfAnotherProgram is forgotten, and one that is none is refused.
func TestCacheOfAnotherProgram(t *testing.T) {
	b := filled(t, raised)
	path := filepath.Join(t.TempDir(), "cache")
	for i, c := range []struct {
		program string
		before  int
	}{{"one", 0}, {"one", 5}, {"other", 0}} {
		cache, err := replay.OpenCache(t.Context(), path, c.program)
		if err != nil {
			t.Fatal(err)
		}
		if n := kept(t, path); n != c.before {
			t.Errorf("%d: %d are cached, want %d", i, n, c.before)
		}
		opt := b.options("2.0.0")
		opt.Cache = cache
		b.run(opt)
		if err := cache.Close(); err != nil {
			t.Fatal(err)
		}
	}
	for name, content := range map[string]string{"text": strings.Repeat("no database\n", 100)} {
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, []byte(content), 0o666); err != nil {
			t.Fatal(err)
		}
		if _, err := replay.OpenCache(t.Context(), path, "one"); err == nil || !strings.Contains(err.Error(), "another") {
			t.Errorf("%s: %v", name, err)
		}
		if left, _ := os.ReadFile(path); string(left) != content {
			t.Errorf("%s: it was changed", name)
		}
	}
	if _, err := replay.OpenCache(t.Context(), b.path, "one"); err == nil || !strings.Contains(err.Error(), "something else") {
		t.Errorf("an archive: %v", err)
	}
}
