package replay

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
)

// Options say what is replayed. From, Decoder, Under and Against must be set.
type Options struct {
	From archive.Source
	// Select chooses visits; the zero value takes all.
	Select Selection
	// Decoder must accept what it accepted when the visits were handed in.
	Decoder *record.Decoder
	// Under is the new side, Against the old one; Words says what that is.
	Under   *Edition
	Against Against
	Words   string
	// InFull judges every visit by every rule on both sides.
	InFull bool
	// Cache keeps what was found; nil for none. It is not asked where InFull is set.
	Cache *Cache
	// Workers is how many machines are dealt with at a time; one if zero or less.
	Workers int
	// Progress, if set, is told how many visits of how many are done. It is called by
	// one goroutine at a time.
	Progress func(done, of int)
}

// Run replays visits. A fault of the rules ends it, as does an archive that cannot be
// read; a visit that cannot be judged is listed. When ctx is cancelled the error is
// [stream.ErrInterrupted]; what was found by then is in the cache.
func Run(ctx context.Context, opt Options) (*Replay, error) {
	r := &run{opt: opt, plans: plans{now: opt.Under, inFull: opt.InFull}, heap: &heap{}}
	err := eachMachine(ctx, opt.From, opt.Decoder, opt.Select, opt.Workers, opt.Progress, r)
	if opt.Cache != nil {
		err = errors.Join(err, opt.Cache.Flush(context.WithoutCancel(ctx)))
	}
	if err != nil {
		return nil, err
	}
	return r.heap.replay(opt), nil
}

// run is one run.
type run struct {
	opt   Options
	plans plans
	heap  *heap
}

// visit judges one visit and takes down what came of it.
func (r *run) visit(ctx context.Context, o one) error {
	old, err := r.opt.Against(ctx, o.visit)
	var missing *Missing
	if errors.As(err, &missing) {
		r.heap.addNot(NotJudged{Visit: o.visit.ID, Why: missing.Why, What: missing.What})
		return nil
	}
	if err != nil {
		return err
	}
	p, err := r.plans.of(ctx, old, o.rec)
	if err != nil {
		return err
	}
	f, err := r.cached(ctx, o, p)
	if err != nil {
		return err
	}
	r.heap.add(o, p, f)
	return nil
}

// not takes down a visit that cannot be judged.
func (r *run) not(n NotJudged) { r.heap.addNot(n) }

// gone takes out of the cache what was kept of a visit that is redacted since.
func (r *run) gone(ctx context.Context, v archive.Visit) error {
	if r.opt.Cache == nil {
		return nil
	}
	var records []string
	for _, e := range v.Entries {
		if e.Record != "" {
			records = append(records, e.Record)
		}
	}
	return r.opt.Cache.Forget(ctx, records)
}

// cached is what the cache holds of a visit, or else what comes of judging it.
func (r *run) cached(ctx context.Context, o one, p *plan) (*found, error) {
	if r.opt.Cache == nil || r.opt.InFull {
		return r.both(ctx, o, p)
	}
	key := cacheKey(o, p)
	if f, ok, err := r.opt.Cache.get(ctx, key); err != nil || ok {
		return f, err
	}
	f, err := r.both(ctx, o, p)
	if err != nil {
		return nil, err
	}
	return f, r.opt.Cache.put(ctx, key, o.rec.Digest(), f)
}

// taker is told of the visits that are selected, each once. Its methods may be called
// by several goroutines at once.
type taker interface {
	visit(ctx context.Context, o one) error
	not(n NotJudged)
	gone(ctx context.Context, v archive.Visit) error
}

// eachMachine takes the machines one by one, several at a time, and hands on their
// visits that are selected, each with what it is compared with.
func eachMachine(ctx context.Context, from archive.Source, decoder *record.Decoder, s Selection, workers int, progress func(done, of int), to taker) error {
	wanted := map[string][]string{} // visit ids, by serial
	of := 0
	for v, err := range from.Visits(ctx, s.filter()) {
		if err != nil {
			return interrupted(ctx, err)
		}
		serial := v.Standing().Serial
		wanted[serial] = append(wanted[serial], v.ID)
		of++
	}
	var mu sync.Mutex
	done := 0
	step := func() {
		mu.Lock()
		defer mu.Unlock()
		if done++; progress != nil {
			progress(done, of)
		}
	}
	group, inner := errgroup.WithContext(ctx)
	group.SetLimit(max(workers, 1))
	for _, serial := range slices.Sorted(maps.Keys(wanted)) {
		if inner.Err() != nil {
			break
		}
		group.Go(func() error {
			return oneMachine(inner, from, decoder, s, serial, wanted[serial], step, to)
		})
	}
	return interrupted(ctx, group.Wait())
}

// interrupted is an error in the words of package stream where it comes of a
// cancelled context.
func interrupted(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return stream.ErrInterrupted
	}
	return err
}

func oneMachine(ctx context.Context, from archive.Source, decoder *record.Decoder, s Selection, serial string, ids []string, step func(), to taker) error {
	m, err := archive.LoadMachine(ctx, from, decoder, serial)
	if refusedRecord(err) {
		for _, id := range ids {
			to.not(NotJudged{Visit: id, Why: Unreadable, What: err.Error()})
			step()
		}
		return nil
	}
	if err != nil {
		return fmt.Errorf("reading the visits of machine %q: %w", serial, err)
	}
	for _, v := range m.Visits {
		if !slices.Contains(ids, v.ID) {
			continue
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := oneVisit(ctx, m, v, s, to); err != nil {
			return err
		}
		step()
	}
	return nil
}

func oneVisit(ctx context.Context, m *archive.Machine, v archive.Visit, s Selection, to taker) error {
	rec := m.Record(v.ID)
	if rec == nil {
		// Whether it used an instrument cannot be told any more, so it is listed.
		redaction, _ := v.Redacted()
		to.not(NotJudged{Visit: v.ID, Why: Redacted, What: fmt.Sprintf("on %s: %s", redaction.On, redaction.Reason)})
		return to.gone(ctx, v)
	}
	if !s.uses(rec) {
		return nil
	}
	earlier, redacted := m.Earlier(rec)
	compared, err := archive.Compared(earlier)
	if err != nil {
		return err
	}
	return to.visit(ctx, one{visit: v, rec: rec, earlier: earlier, compared: compared, redacted: redacted, received: v.Standing().Received})
}
