package main

import (
	"context"
	"fmt"

	"github.com/visitgauge/visitgauge/engine/compare"
	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// sides loads the releases of both sides into the options, those of the old side when
// they are first wanted. The editions are nil unless recorded verdicts are asked for.
func (f *replayFlags) sides(ctx context.Context, opt *replay.Options) (*replay.Editions, error) {
	var editions *replay.Editions
	switch f.against {
	case againstInForce, againstRecorded:
		releases, _, err := openPolicies(f.policies)
		if err != nil {
			return nil, err
		}
		if releases == nil {
			return nil, usage("--policies %s is one release, so none is in force or recorded by its version\nname the folder that holds %s, or a release with --against", f.policies, ruleset.ReleasesFile)
		}
		editions = replay.NewEditions(releases, func(ctx context.Context, entry ruleset.Release) (*replay.Edition, error) {
			s, err := listed(releases, f.policies, entry)
			if err != nil {
				return nil, err
			}
			return editionOf(ctx, s)
		})
		opt.Against, opt.Words = editions.InForce, "the release in force on the day of the visit"
		if f.against == againstRecorded {
			opt.Against, opt.Words = editions.Recorded, "the release that each visit was judged by"
		}
	default:
		e, err := f.edition(ctx, f.against)
		if err != nil {
			return nil, fmt.Errorf("--against: %w", err)
		}
		opt.Against, opt.Words = replay.Fixed(e), "release "+f.against
	}
	if f.under == "" {
		return editions, nil
	}
	var err error
	if opt.Under, err = f.edition(ctx, f.under); err != nil {
		return nil, fmt.Errorf("--under: %w", err)
	}
	return editions, nil
}

// edition loads the release that an argument names.
func (f *replayFlags) edition(ctx context.Context, argument string) (*replay.Edition, error) {
	s, err := namedSource(argument, f.policies)
	if err != nil {
		return nil, err
	}
	return editionOf(ctx, s)
}

func editionOf(ctx context.Context, s source) (*replay.Edition, error) {
	return replay.NewEdition(ctx, compare.Side{Name: s.name(), Entry: s.entry, Files: s.files}, s.load)
}
