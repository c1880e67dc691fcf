package publish

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"regexp"

	"golang.org/x/mod/semver"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// versionPat is a semantic version of three whole numbers, as releases have.
var versionPat = regexp.MustCompile(`^(0|[1-9][0-9]*)\.(0|[1-9][0-9]*)\.(0|[1-9][0-9]*)$`)

// older tells whether version a comes before b.
func older(a, b string) bool { return semver.Compare("v"+a, "v"+b) < 0 }

// Draft copies the folder of release from, whole, into a draft of another version,
// writes its catalogue and adds its entry to releases.yaml. It gives the entry. An
// error of type [*Misuse] says what was asked for wrongly.
func (f *Folder) Draft(ctx context.Context, version, from string) (entry ruleset.Release, err error) {
	releases, err := f.Releases()
	if err != nil {
		return ruleset.Release{}, err
	}
	old, err := f.draftable(releases, version, from)
	if err != nil {
		return ruleset.Release{}, err
	}
	if _, err := f.sound(ctx, releases, old); err != nil {
		return ruleset.Release{}, fmt.Errorf("drafting %s from %s: %w", version, from, err)
	}
	l, err := f.lock()
	if err != nil {
		return ruleset.Release{}, err
	}
	defer func() { err = errors.Join(err, l.unlock()) }()

	entry = ruleset.Release{Version: version, State: ruleset.Draft, Note: "drafted from " + from}
	content, err := withEntry(l.old, entry)
	if err != nil {
		return ruleset.Release{}, fmt.Errorf("changing %s in %s: %w", ruleset.ReleasesFile, f.name, err)
	}
	part := partOf(version)
	if err := f.root.Mkdir(part, 0o755); err != nil {
		return ruleset.Release{}, fmt.Errorf("drafting %s: %w\n    mend: if no other command is at work, remove %s, which one that was broken off left behind", version, err, part)
	}
	whole := part // what is taken away again if something fails
	defer func() {
		if err != nil {
			err = errors.Join(err, f.root.RemoveAll(whole))
		}
	}()
	if err := f.copy(ctx, old, part); err != nil {
		return ruleset.Release{}, fmt.Errorf("copying release %s: %w", from, err)
	}
	if _, err := f.catalogue(ctx, version, part); err != nil {
		return ruleset.Release{}, err
	}
	if err := ctx.Err(); err != nil {
		return ruleset.Release{}, err
	}
	if err := f.root.Rename(part, version); err != nil {
		return ruleset.Release{}, fmt.Errorf("drafting %s: %w", version, err)
	}
	whole = version
	return entry, l.write(content, entry)
}

// draftable finds the release that a draft of a version is to be made from.
func (f *Folder) draftable(releases *ruleset.Releases, version, from string) (ruleset.Release, error) {
	wrong := func(mend, format string, args ...any) (ruleset.Release, error) {
		return ruleset.Release{}, &Misuse{What: fmt.Sprintf("drafting %q from %q", version, from), Why: fmt.Sprintf(format, args...), Mend: mend}
	}
	if !versionPat.MatchString(version) {
		return wrong("write three whole numbers, such as 1.1.0", "%q is no version", version)
	}
	old, err := releases.Find(from)
	if err != nil {
		return ruleset.Release{}, &Misuse{What: "drafting " + version, Why: fmt.Sprintf("there is no release %q to draft from", from), Mend: "name one of " + versions(releases)}
	}
	if !older(from, version) {
		return wrong("give the draft a higher version", "%s does not come after %s", version, from)
	}
	if _, err := releases.Find(version); err == nil {
		return wrong("give the draft another version", "there is a release %s already", version)
	}
	if _, err := f.root.Lstat(version); !errors.Is(err, fs.ErrNotExist) {
		return wrong("move it elsewhere", "something else is called %s in %s", version, f.name)
	}
	if _, err := f.root.Lstat(partOf(version)); !errors.Is(err, fs.ErrNotExist) {
		return wrong("if no other command is at work, remove "+partOf(version), "%s is there: half a copy, of a command that was broken off", partOf(version))
	}
	return old, nil
}

func versions(releases *ruleset.Releases) string {
	text := ""
	for i, e := range releases.All() {
		if i > 0 {
			text += ", "
		}
		text += e.Version
	}
	return text
}

// copy copies a release into a folder, file by file, and holds the copy of a
// released one to its digest.
func (f *Folder) copy(ctx context.Context, old ruleset.Release, to string) error {
	release, err := f.release(old.Version)
	if err != nil {
		return err
	}
	err = fs.WalkDir(release, ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil {
			err = ctx.Err()
		}
		if err != nil || name == "." {
			return err
		}
		if d.IsDir() {
			return f.root.Mkdir(path.Join(to, name), 0o755)
		}
		data, err := fs.ReadFile(release, name)
		if err != nil {
			return err
		}
		return f.root.WriteFile(path.Join(to, name), data, 0o644)
	})
	if err != nil || old.State == ruleset.Draft {
		return err
	}
	copied, err := fs.Sub(f.root.FS(), to)
	if err != nil {
		return err
	}
	digest, err := ruleset.Digest(copied)
	if err != nil {
		return err
	}
	if digest != old.Digest {
		return fmt.Errorf("the copy has the digest %s, the release %s: it was altered meanwhile", digest, old.Digest)
	}
	return nil
}
