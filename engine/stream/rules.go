package stream

import (
	"context"
	"fmt"
	"io/fs"
	"sync"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Rules finds the judge for a day, and loads each release once, when it is first
// wanted. It may be used by several goroutines at once.
type Rules struct {
	find func(day string) (key string, open func(context.Context) (*ruleset.Set, error), err error)

	mu     sync.Mutex
	judges map[string]func() (*judge.Judge, error) // by key
}

// InForce judges each visit by the release that was in force on the local day it
// started. With native, releases run with the engine's own helper functions where
// it has them; the answers are the same.
func InForce(releases *ruleset.Releases, native bool) *Rules {
	return newRules(func(day string) (string, func(context.Context) (*ruleset.Set, error), error) {
		entry, err := releases.InForce(day)
		return entry.Version, func(ctx context.Context) (*ruleset.Set, error) {
			return releases.Open(ctx, entry, native)
		}, err
	})
}

// ByRelease judges every visit by one release, whatever the day. Native is as in
// [InForce].
func ByRelease(releases *ruleset.Releases, entry ruleset.Release, native bool) *Rules {
	return newRules(func(string) (string, func(context.Context) (*ruleset.Set, error), error) {
		return entry.Version, func(ctx context.Context) (*ruleset.Set, error) {
			return releases.Open(ctx, entry, native)
		}, nil
	})
}

// ByFolder judges every visit by the release in one folder, which nobody vouches
// for: it is checked whole. Native is as in [InForce].
func ByFolder(folder fs.FS, native bool) *Rules {
	return newRules(func(string) (string, func(context.Context) (*ruleset.Set, error), error) {
		return ruleset.FolderVersion, func(ctx context.Context) (*ruleset.Set, error) {
			return ruleset.Load(ctx, folder, ruleset.Options{Native: native})
		}, nil
	})
}

func newRules(find func(string) (string, func(context.Context) (*ruleset.Set, error), error)) *Rules {
	return &Rules{find: find, judges: map[string]func() (*judge.Judge, error){}}
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
	r.mu.Lock()
	load, ok := r.judges[key]
	if !ok {
		// What is loaded for all must not end with the one who asked first.
		ctx := context.WithoutCancel(ctx)
		load = sync.OnceValues(func() (*judge.Judge, error) {
			set, err := open(ctx)
			if err != nil {
				return nil, err
			}
			j, err := judge.New(ctx, set)
			if err != nil {
				return nil, fmt.Errorf("preparing to judge: %w", err)
			}
			return j, nil
		})
		r.judges[key] = load
	}
	r.mu.Unlock()
	return load()
}
