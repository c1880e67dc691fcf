package publish

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/compare"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Candidate is a draft that is to be released.
type Candidate struct {
	Version string
	Files   fs.FS
	Set     *ruleset.Set // without native functions
}

// Check looks at a draft before it is released. What it finds stands in the way,
// under the name of the check where a finding has none of its own; an error is for
// what keeps it from looking.
type Check struct {
	Name string
	Run  func(context.Context, Candidate) ([]Finding, error)
}

// Options say how a draft is looked at.
type Options struct {
	// Decoder reads visit records; it must be set.
	Decoder *record.Decoder
	Checks  []Check
}

// Released is what came of a release.
type Released struct {
	Entry ruleset.Release
	// Difference is against the release before; nil if there is none.
	Difference *compare.Difference
}

// Release freezes a draft: it writes the draft's catalogue, has it checked and
// compared with the release before it, and writes its state, day, digest and
// approval into releases.yaml.
//
// An error of type [*Misuse] says what was asked for wrongly, one of type
// [*Refusal] what stands in the way; but for the catalogue of the draft nothing was
// written then.
func (f *Folder) Release(ctx context.Context, version string, a Approval, opt Options) (*Released, error) {
	a = a.trimmed()
	doing := "releasing " + version
	releases, err := f.Releases()
	if err != nil {
		return nil, err
	}
	entry, err := f.releasable(releases, version, doing)
	if err != nil {
		return nil, err
	}
	if err := a.check(doing); err != nil {
		return nil, err
	}
	if err := a.checkDay(releases, version, doing); err != nil {
		return nil, err
	}
	if _, err := f.catalogue(ctx, version, version); err != nil {
		return nil, err
	}
	set, err := f.sound(ctx, releases, entry)
	if err != nil {
		return nil, err
	}
	files, err := f.release(version)
	if err != nil {
		return nil, err
	}
	out := &Released{}
	if out.Difference, err = f.difference(ctx, releases, compare.Side{Name: version, Entry: entry, Files: files, Set: set}, opt); err != nil {
		return nil, err
	}
	findings := understated(out.Difference, version)
	for _, check := range opt.Checks {
		found, err := check.Run(ctx, Candidate{Version: version, Files: files, Set: set})
		if err != nil {
			return nil, fmt.Errorf("%s: %s: %w", doing, check.Name, err)
		}
		for _, finding := range found {
			if finding.Check == "" {
				finding.Check = check.Name
			}
			findings = append(findings, finding)
		}
	}
	if len(findings) > 0 {
		return nil, &Refusal{Version: version, Findings: findings}
	}
	out.Entry = ruleset.Release{
		Version: version, State: ruleset.Released, From: a.From, Digest: set.Digest(),
		Author: a.Author, ApprovedBy: a.ApprovedBy, ApprovedOn: a.Today,
		Told: a.Told, Reason: a.Reason, Review: review(out.Difference, set, opt.Checks), Note: a.Note,
	}
	return out, f.freeze(ctx, releases, out.Entry)
}

// releasable finds the draft of a version.
func (f *Folder) releasable(releases *ruleset.Releases, version, doing string) (ruleset.Release, error) {
	entry, err := releases.Find(version)
	if err != nil {
		return entry, &Misuse{What: doing, Why: "there is no such release", Mend: "name one of " + versions(releases)}
	}
	if entry.State == ruleset.Draft {
		return entry, nil
	}
	if _, err := f.digest(entry); err != nil {
		return entry, err
	}
	return entry, &Misuse{What: doing, Why: "it is " + entry.State + " already, and frozen", Mend: "a change is a new version: draft one"}
}

// difference compares a draft with the release before it: the one of those released
// with the highest version below its own. It is nil if there is none.
func (f *Folder) difference(ctx context.Context, releases *ruleset.Releases, draft compare.Side, opt Options) (*compare.Difference, error) {
	var before ruleset.Release
	for _, e := range releases.All() {
		if e.State == ruleset.Released && older(e.Version, draft.Name) && (before.Version == "" || older(before.Version, e.Version)) {
			before = e
		}
	}
	if before.Version == "" {
		return nil, nil
	}
	set, err := f.sound(ctx, releases, before)
	if err != nil {
		return nil, err
	}
	files, err := f.release(before.Version)
	if err != nil {
		return nil, err
	}
	return compare.Compare(ctx, compare.Side{Name: before.Version, Entry: before, Files: files, Set: set}, draft, compare.Options{Decoder: opt.Decoder})
}

// understated finds that the number of a version says less than the change is.
func understated(d *compare.Difference, version string) []Finding {
	if d == nil {
		return nil
	}
	step := compare.Step(d.Old.Name, version)
	if step.Covers(d.Level) {
		return nil
	}
	next := compare.Next(d.Old.Name, d.Level)
	lines := []string{fmt.Sprintf("from %s to %s is a %s step, the change is %s", d.Old.Name, version, step, d.Level)}
	for _, r := range d.Because {
		if r.Level == d.Level {
			lines = append(lines, "  "+r.What)
		}
	}
	return []Finding{{
		Check: "version", What: strings.Join(lines, "\n"),
		Mend: fmt.Sprintf("draft %s from %s and release that, or take back what makes it %s", next, version, d.Level),
	}}
}

// review says in a line what a release was held against, and what came of it.
func review(d *compare.Difference, set *ruleset.Set, checks []Check) string {
	text := fmt.Sprintf("first release, %d rules", len(set.Rules()))
	if d != nil {
		text = fmt.Sprintf("%s against %s: rules added %d, dropped %d, tried %d, %d of %d outcomes turned",
			d.Level, d.Old.Name, len(d.Added), len(d.Dropped), d.Tried.Rules, d.Tried.Turned, d.Tried.Outcomes)
	}
	var names []string
	for _, c := range checks {
		names = append(names, c.Name)
	}
	if len(names) > 0 {
		text += "; no finding by " + strings.Join(names, ", ")
	}
	return text
}

// freeze writes the entry of a release, if nothing changed since it was looked at,
// and reads the release back as one.
func (f *Folder) freeze(ctx context.Context, seen *ruleset.Releases, entry ruleset.Release) (err error) {
	l, err := f.lock()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, l.unlock()) }()
	if now, err := ruleset.ParseReleases(l.old); err != nil || !slices.Equal(now, seen.All()) {
		return errors.Join(err, fmt.Errorf("releasing %s: %s was changed meanwhile\n    mend: do it again", entry.Version, ruleset.ReleasesFile))
	}
	digest, err := f.digest(ruleset.Release{Version: entry.Version, State: ruleset.Draft})
	if err != nil {
		return err
	}
	if digest != entry.Digest {
		return fmt.Errorf("releasing %s: its folder was changed while it was looked at\n    mend: do it again", entry.Version)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if err := l.set(entry); err != nil {
		return err
	}
	if err := f.demand(ctx, entry); err != nil {
		return errors.Join(err, f.replace(ruleset.ReleasesFile, partOf(ruleset.ReleasesFile), l.old))
	}
	return nil
}

// demand reads the folder anew, and demands that the release is there as its entry
// says.
func (f *Folder) demand(ctx context.Context, want ruleset.Release) error {
	releases, err := f.Releases()
	if err != nil {
		return err
	}
	entry, err := releases.Find(want.Version)
	if err != nil {
		return err
	}
	if entry != want {
		return fmt.Errorf("releasing %s: its entry was written, and is another now", want.Version)
	}
	_, err = f.sound(ctx, releases, entry)
	return err
}
