package stream

import (
	"context"
	"fmt"
	"io/fs"
	"sync"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Rules finds the judge for a day, and loads each release once, when it is first
// wanted. It may be used by several goroutines at once.
type Rules struct {
	find  func(day string) (key string, open opener, err error)
	named func(version string) (key string, open opener, err error)

	mu     sync.Mutex
	judges map[string]func() (loaded, error) // by key
}

// opener loads a release.
type opener func(context.Context) (*ruleset.Set, error)

// loaded is a release with the judge by it.
type loaded struct {
	set   *ruleset.Set
	judge *judge.Judge
}

// InForce judges each visit by the release that was in force on the local day it
// started. With native, releases run with the engine's own helper functions where
// it has them; the answers are the same.
func InForce(releases *ruleset.Releases, native bool) *Rules {
	return newRules(func(day string) (string, opener, error) {
		entry, err := releases.InForce(day)
		return entry.Version, opens(releases, entry, native), err
	}, named(releases, native))
}

// ByRelease judges every visit by one release, whatever the day. Native is as in
// [InForce].
func ByRelease(releases *ruleset.Releases, entry ruleset.Release, native bool) *Rules {
	return newRules(func(string) (string, opener, error) {
		return entry.Version, opens(releases, entry, native), nil
	}, named(releases, native))
}

// ByFolder judges every visit by the release in one folder, which nobody vouches
// for: it is checked whole. Native is as in [InForce].
func ByFolder(folder fs.FS, native bool) *Rules {
	open := func(ctx context.Context) (*ruleset.Set, error) {
		return ruleset.Load(ctx, folder, ruleset.Options{Native: native})
	}
	return newRules(func(string) (string, opener, error) {
		return ruleset.FolderVersion, open, nil
	}, func(string) (string, opener, error) {
		return ruleset.FolderVersion, open, nil
	})
}

func opens(releases *ruleset.Releases, entry ruleset.Release, native bool) opener {
	return func(ctx context.Context) (*ruleset.Set, error) { return releases.Open(ctx, entry, native) }
}

// named finds a release by its version.
func named(releases *ruleset.Releases, native bool) func(string) (string, opener, error) {
	return func(version string) (string, opener, error) {
		entry, err := releases.Find(version)
		return entry.Version, opens(releases, entry, native), err
	}
}

func newRules(find, named func(string) (string, opener, error)) *Rules {
	return &Rules{find: find, named: named, judges: map[string]func() (loaded, error){}}
}

// notInForce says that there are no rules for a day.
type notInForce struct{ err error }

func (e *notInForce) Error() string { return e.err.Error() }
func (e *notInForce) Unwrap() error { return e.err }

// on gives the judge for a local day, YYYY-MM-DD. An error of type *notInForce
// is about that day alone; any other is about the rules.
func (r *Rules) on(ctx context.Context, day string) (*judge.Judge, error) {
	key, open, err := r.find(day)
	if err != nil {
		return nil, &notInForce{err}
	}
	l, err := r.load(ctx, key, open)
	return l.judge, err
}

// Recorded gives the judge by the release that a verdict names: of that version
// and that digest. It is an error if there is none.
func (r *Rules) Recorded(ctx context.Context, release verdict.Release) (*judge.Judge, error) {
	key, open, err := r.named(release.Version)
	if err != nil {
		return nil, err
	}
	l, err := r.load(ctx, key, open)
	if err != nil {
		return nil, err
	}
	if l.set.Version() != release.Version || l.set.Digest() != release.Digest {
		return nil, fmt.Errorf("finding release %s %s: what there is now is %s %s\ntake the release from where it was judged by",
			release.Version, release.Digest, l.set.Version(), l.set.Digest())
	}
	return l.judge, nil
}

// load loads a release once, for all who want it.
func (r *Rules) load(ctx context.Context, key string, open opener) (loaded, error) {
	r.mu.Lock()
	load, ok := r.judges[key]
	if !ok {
		// What is loaded for all must not end with the one who asked first.
		ctx := context.WithoutCancel(ctx)
		load = sync.OnceValues(func() (loaded, error) {
			set, err := open(ctx)
			if err != nil {
				return loaded{}, err
			}
			j, err := judge.New(ctx, set)
			if err != nil {
				return loaded{}, fmt.Errorf("preparing to judge: %w", err)
			}
			return loaded{set, j}, nil
		})
		r.judges[key] = load
	}
	r.mu.Unlock()
	return load()
}
