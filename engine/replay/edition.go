package replay

import (
	"context"
	"fmt"
	"slices"
	"sync"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/compare"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// An Edition is a release that judges one side.
type Edition struct {
	side  compare.Side
	set   *ruleset.Set
	judge func() (*judge.Judge, error)
	load  Loader
}

// A Loader loads the release of an edition without some of its rules. Native is as in
// [ruleset.Options].
type Loader func(ctx context.Context, native bool, without ...string) (*ruleset.Set, error)

// NewEdition makes an edition of a release, of which name, entry and files are those
// of a [compare.Side]. The release is loaded.
func NewEdition(ctx context.Context, side compare.Side, load Loader) (*Edition, error) {
	e := &Edition{side: side, load: load}
	return e.without(ctx, nil)
}

// without is the edition without some rules.
func (e *Edition) without(ctx context.Context, rules []string) (*Edition, error) {
	ctx = context.WithoutCancel(ctx) // what is prepared for all must not end with the one who asked first
	out := &Edition{side: e.side, load: e.load}
	var err error
	// Rules are compared as they stand in the files.
	if out.side.Set, err = e.load(ctx, false, rules...); err != nil {
		return nil, err
	}
	if out.set, err = e.load(ctx, true, rules...); err != nil {
		return nil, err
	}
	out.judge = sync.OnceValues(func() (*judge.Judge, error) { return judge.New(ctx, out.set) })
	return out, nil
}

// has tells whether the release has one of some rules.
func (e *Edition) has(rules []string) bool {
	return slices.ContainsFunc(rules, func(name string) bool {
		_, ok := e.set.Rule(name)
		return ok
	})
}

func (e *Edition) digest() string { return e.set.Digest() }

// release says which release it is.
func (e *Edition) release() Release {
	return Release{Name: e.side.Name, State: e.side.Entry.State, Digest: e.digest()}
}

// A Missing says that there is no release for the old side of a visit.
type Missing struct {
	Why  Why // [NoRelease] or [NeverJudged]
	What string
}

// Error says why there is none.
func (m *Missing) Error() string { return m.What }

// Against finds the release of the old side for a visit. Where there is none, the
// error is a [*Missing]; any other ends the run. It is called by several goroutines
// at once.
type Against func(ctx context.Context, v archive.Visit) (*Edition, error)

// Fixed holds every visit against one release.
func Fixed(e *Edition) Against {
	return func(context.Context, archive.Visit) (*Edition, error) { return e, nil }
}

// Editions are the releases of a folder of policies, each loaded once, when it is
// first wanted.
type Editions struct {
	releases *ruleset.Releases
	open     func(context.Context, ruleset.Release) (*Edition, error)

	mu     sync.Mutex
	opened map[string]func() (*Edition, error) // by version
}

// NewEditions makes the editions of releases that open loads.
func NewEditions(releases *ruleset.Releases, open func(context.Context, ruleset.Release) (*Edition, error)) *Editions {
	return &Editions{releases: releases, open: open, opened: map[string]func() (*Edition, error){}}
}

// InForce holds every visit against the release that was in force on the local day it
// started.
func (e *Editions) InForce(ctx context.Context, v archive.Visit) (*Edition, error) {
	entry, err := e.releases.InForce(v.Standing().Day())
	if err != nil {
		return nil, &Missing{NoRelease, err.Error()}
	}
	return e.load(ctx, entry)
}

// Recorded holds every visit against the release that gave its latest verdict.
func (e *Editions) Recorded(ctx context.Context, v archive.Visit) (*Edition, error) {
	judged, ok := v.Verdict()
	if !ok {
		return nil, &Missing{NeverJudged, "the archive holds no verdict of it"}
	}
	return e.named(ctx, *judged.Release)
}

// named finds the release that a verdict names.
func (e *Editions) named(ctx context.Context, r verdict.Release) (*Edition, error) {
	entry, err := e.releases.Find(r.Version)
	if err != nil {
		return nil, &Missing{NoRelease, fmt.Sprintf("it was judged by %s %s, which is not here", r.Version, r.Digest)}
	}
	found, err := e.load(ctx, entry)
	if err != nil {
		return nil, err
	}
	if found.digest() != r.Digest {
		return nil, &Missing{NoRelease, fmt.Sprintf("it was judged by %s %s, and what is here under that version is %s", r.Version, r.Digest, found.digest())}
	}
	return found, nil
}

// load loads a release once, for all who want it.
func (e *Editions) load(ctx context.Context, entry ruleset.Release) (*Edition, error) {
	e.mu.Lock()
	open, ok := e.opened[entry.Version]
	if !ok {
		ctx := context.WithoutCancel(ctx)
		open = sync.OnceValues(func() (*Edition, error) { return e.open(ctx, entry) })
		e.opened[entry.Version] = open
	}
	e.mu.Unlock()
	return open()
}
