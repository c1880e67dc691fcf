package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/pflag"
	"golang.org/x/mod/semver"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/policies"
)

// sourceFlags say which release a workshop command looks at.
type sourceFlags struct {
	policies string
	release  string
}

func (f *sourceFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.release, "release", "", "look at this `VERSION` (default: the newest one released)")
	flags.StringVar(&f.policies, "policies", "",
		"take releases from `DIR`, which holds releases.yaml, or is one release (default: those built in)")
}

// source is one release that a command looks at.
type source struct {
	// folder is the release's own folder as it was named; empty where built in.
	folder string
	files  fs.FS
	// releases lists the release; nil for a folder that nobody lists.
	releases *ruleset.Releases
	entry    ruleset.Release // zero for a folder that nobody lists
}

// name is what the source is called in reports.
func (s source) name() string {
	if s.releases == nil {
		return s.folder
	}
	return s.entry.Version
}

// frozen tells whether the release may no longer change.
func (s source) frozen() bool { return s.releases != nil && s.entry.State != ruleset.Draft }

// load loads the release: a frozen one under its digest, another checked whole.
// Native and without are as in [ruleset.Options].
func (s source) load(ctx context.Context, native bool, without ...string) (*ruleset.Set, error) {
	if s.releases == nil {
		return ruleset.Load(ctx, s.files, ruleset.Options{Native: native, Without: without})
	}
	return s.releases.Open(ctx, s.entry, native, without...)
}

// source finds the release that the flags and the argument name, which is a
// version, a folder, or empty. It is not loaded yet.
func (f *sourceFlags) source(argument string) (source, error) {
	version := f.release
	if argument != "" {
		if version != "" {
			return source{}, usage("%q and --release %s both name a release\nname one", argument, version)
		}
		if !semver.IsValid("v" + argument) {
			if f.policies != "" {
				return source{}, usage("%q and --policies %s both name a folder\nname one", argument, f.policies)
			}
			return folderSource(argument)
		}
		version = argument
	}
	all, _, err := openPolicies(f.policies)
	if err != nil {
		return source{}, err
	}
	if all == nil {
		if version != "" {
			return source{}, usage("--policies %s is one release, so another cannot be chosen", f.policies)
		}
		return folderSource(f.policies)
	}
	var entry ruleset.Release
	if version == "" {
		entry, err = all.Newest()
	} else {
		entry, err = all.Find(version)
	}
	if err != nil {
		return source{}, usage("%w", err)
	}
	return listed(all, f.policies, entry)
}

// namedSource finds the release that an argument names: a version among those of a
// folder of policies (those built in where it is empty), or a release's folder.
func namedSource(argument, policies string) (source, error) {
	var flags sourceFlags
	if semver.IsValid("v" + argument) {
		flags.policies = policies
	}
	return flags.source(argument)
}

// openPolicies opens a folder of releases, that which is built in where dir is
// empty. Releases are nil if the folder is one release's own.
func openPolicies(dir string) (*ruleset.Releases, fs.FS, error) {
	folder := fs.FS(policies.FS)
	if dir != "" {
		folder = os.DirFS(dir)
		_, err := fs.Stat(folder, ruleset.ReleasesFile)
		if errors.Is(err, fs.ErrNotExist) && isRelease(folder) {
			return nil, folder, nil
		}
		if err != nil {
			return nil, nil, usage("--policies %s: %w\nname a folder that holds %s, or one release's own folder", dir, err, ruleset.ReleasesFile)
		}
	}
	releases, err := ruleset.ReadReleases(folder)
	return releases, folder, err
}

// folderSource is the release in a folder. Where the folder above lists it, it is
// the release listed.
func folderSource(dir string) (source, error) {
	s := source{folder: dir, files: os.DirFS(dir)}
	if !isRelease(s.files) {
		return source{}, usage("%s is no release's folder: it has no limits.yaml\nname the folder of one release, or a version", dir)
	}
	whole, err := filepath.Abs(dir)
	if err != nil {
		return source{}, err
	}
	above := os.DirFS(filepath.Dir(whole))
	if _, err := fs.Stat(above, ruleset.ReleasesFile); err != nil {
		return s, nil
	}
	all, err := ruleset.ReadReleases(above)
	if err != nil {
		return source{}, err
	}
	entry, err := all.Find(filepath.Base(whole))
	if err != nil {
		return s, nil // not a version's folder
	}
	s.releases, s.entry = all, entry
	return s, nil
}

// listed is the source of an entry of releases. Dir is the folder on disk, empty
// where built in.
func listed(all *ruleset.Releases, dir string, entry ruleset.Release) (source, error) {
	files, err := all.Folder(entry)
	if err != nil {
		return source{}, err
	}
	s := source{files: files, releases: all, entry: entry}
	if dir != "" {
		s.folder = filepath.Join(dir, entry.Version)
	}
	return s, nil
}
