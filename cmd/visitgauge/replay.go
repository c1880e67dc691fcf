package main

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/engine/stream"
)

// What --against takes besides a release.
const (
	againstInForce  = "in-force"
	againstRecorded = "recorded"
)

// replayFlags are the flags of replay.
type replayFlags struct {
	under, against, policies string
	filterFlags
	instruments []string
	inFull      bool
	cacheFlags
	workers    int
	expectNone bool
	replayFormat
}

func newReplay() *cobra.Command {
	var flags replayFlags
	cmd := &cobra.Command{
		Use:   "replay --under RELEASE ARCHIVE",
		Short: "Say what another release of the rules would have judged differently",
		Long: `Judge archived visits under a release of the rules, hold that against the release in
force on their day or another one, and say which visits would have been judged
differently, and why. It is a what-if and no verdict: nothing is archived, and nothing
that was judged changes. Concessions are applied on neither side; where one covers an
outcome that differs, that is said.

ARCHIVE is an archive, a directory of records or a file of them (JSON Lines). With an
archive, recorded verdicts by the release that is held against save judging again, as
far as that comes to the same; --in-full does without.

--against recorded first judges every visit again as it was: by the release its verdict
names, with the same concessions and time of receipt. The bytes must be the same, and a
verdict that differs is named. Without --under that is all.

A run that was stopped goes on from what it had found, which is kept in a file: it
holds findings, and is as confidential as the archive.

Exit codes:
  0  done
  1  a visit would be judged differently and --expect-none is given, or a recorded
     verdict does not come out again
  2  wrong usage; nothing was judged
  3  something could not be judged: a record was refused, there is no release for a
     visit, --expect-none or recorded was asked of no visit at all, the rules are at
     fault, the run was interrupted, or the output could not be written
Of 1 and 3 the greater one is given. Redacted visits are listed and change no code.`,
		Example: `  visitgauge replay --under 1.1.0 visits.archive
  visitgauge replay --under ./policies/1.2.0 --against 1.1.0 --from 2026-01-01 --format html --output what-if.html visits.archive
  visitgauge replay --under 1.1.0 --instrument hy-07 --format csv visits.archive > recall.csv
  visitgauge replay --against recorded visits.archive`,
		Args: arguments(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error { return flags.run(cmd, args[0]) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&flags.under, "under", "", "judge by this `RELEASE`, a version or a release's folder")
	f.StringVar(&flags.against, "against", againstInForce, "hold it against this `RELEASE`, or in-force, or recorded")
	f.StringVar(&flags.policies, "policies", "", "take versions from `DIR`, which holds releases.yaml (default: those built in)")
	flags.filterFlags.add(f)
	f.StringSliceVar(&flags.instruments, "instrument", nil, "only visits with a reading taken with one of these `INSTRUMENTS`, as when one is recalled")
	f.BoolVar(&flags.inFull, "in-full", false, "judge every visit by every rule on both sides, and take nothing from recorded verdicts or earlier runs")
	flags.cacheFlags.add(f)
	f.IntVar(&flags.workers, "workers", runtime.GOMAXPROCS(0), "deal with `N` machines at a time")
	f.BoolVar(&flags.expectNone, "expect-none", false, "end with exit code 1 if any visit would be judged differently")
	flags.replayFormat.add(f)
	return cmd
}

// check refuses values that cannot be.
func (f *replayFlags) check() error {
	switch {
	case f.under == "" && f.against != againstRecorded:
		return usage("replay: no release named to judge by\nname it with --under; to reach recorded verdicts again, give --against recorded")
	case f.under == "" && f.expectNone:
		return usage("--expect-none is about --under, which is not given")
	case f.under == "" && !slices.Contains(reproductionFormats, f.format):
		return usage("--format %s: recorded verdicts by themselves are told of as text, markdown or json\nname a release with --under, or another format", f.format)
	case f.workers < 1:
		return usage("--workers must be 1 or more")
	}
	if err := f.cacheFlags.check(); err != nil {
		return err
	}
	if err := f.filterFlags.check(); err != nil {
		return err
	}
	return f.replayFormat.check()
}

func (f *replayFlags) run(cmd *cobra.Command, path string) error {
	if err := f.check(); err != nil {
		return err
	}
	ctx, stop := interruptible(cmd)
	defer stop()

	out, err := f.open(cmd.OutOrStdout())
	if err != nil {
		return err
	}
	done, refused, err := f.replay(ctx, cmd, path)
	if err != nil && ctx.Err() != nil {
		err = stream.ErrInterrupted // whatever noticed it first
	}
	if errors.Is(err, stream.ErrInterrupted) {
		err = fmt.Errorf("replay was interrupted, and says nothing of the part that was judged: %w%s", err, f.goesOn())
	}
	if err == nil {
		err = f.write(out, done)
	}
	if err != nil {
		return errors.Join(err, out.drop())
	}
	if err := out.keep(); err != nil {
		return err
	}
	return f.verdict(done, refused)
}

// replayed is what a run came to: at least one of the two is there.
type replayed struct {
	reproduction *replay.Reproduction
	replay       *replay.Replay
}

// replay does what the flags say. It tells whether records were refused.
func (f *replayFlags) replay(ctx context.Context, cmd *cobra.Command, path string) (done replayed, refused bool, err error) {
	from, err := openSource(ctx, cmd, path)
	if err != nil {
		return done, false, err
	}
	defer func() { err = errors.Join(err, from.close()) }()
	shown := newStages(cmd.ErrOrStderr())
	defer shown.end()
	opt := replay.Options{
		From: from.source, Select: replay.Of(f.Filter, f.instruments), Decoder: from.decoder,
		InFull: f.inFull, Workers: f.workers,
	}
	editions, err := f.sides(ctx, &opt)
	if err != nil {
		return done, from.refused, err
	}
	if f.against == againstRecorded {
		opt.Progress = func(done, of int) { shown.step("judging again", done, of) }
		if done.reproduction, err = replay.Reproduce(ctx, opt, editions); err != nil || f.under == "" {
			return done, from.refused, err
		}
	}
	if opt.Cache, err = f.cache(ctx); err != nil {
		return done, from.refused, err
	}
	if opt.Cache != nil {
		defer func() { err = errors.Join(err, opt.Cache.Close()) }()
	}
	opt.Progress = func(done, of int) { shown.step("replaying", done, of) }
	done.replay, err = replay.Run(ctx, opt)
	if err == nil {
		done.replay.Recorded = done.reproduction
	}
	return done, from.refused, err
}

// verdict is the exit code.
func (f *replayFlags) verdict(done replayed, refused bool) error {
	unjudged := func(n replay.NotJudged) bool { return n.Why != replay.Redacted }
	code := 0
	if r := done.reproduction; r != nil {
		if len(r.Differ) > 0 {
			code = exitFailed
		}
		// Of no visit nothing is proven, as where a selection is misspelt.
		refused = refused || r.Visits == 0 || slices.ContainsFunc(r.NotReached, unjudged)
	}
	if r := done.replay; r != nil {
		if f.expectNone && r.Differs() {
			code = exitFailed
		}
		refused = refused || f.expectNone && r.Visits.Judged == 0 || slices.ContainsFunc(r.NotJudged, unjudged)
	}
	if refused {
		code = exitUnjudged
	}
	if code == 0 {
		return nil
	}
	return &exitError{code: code}
}
