package ruleset

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"golang.org/x/mod/semver"
)

// The states of a release.
const (
	Draft     = "draft"     // may change, comes into force nowhere
	Released  = "released"  // frozen, in force from its day on
	Withdrawn = "withdrawn" // frozen, no longer in force; still there to be asked for by name
)

// ReleasesFile names the file that lists the releases of a policies folder.
const ReleasesFile = "releases.yaml"

// Release is one entry of releases.yaml.
type Release struct {
	Version    string
	State      string // Draft, Released or Withdrawn
	From       string // first local day on which it is in force, YYYY-MM-DD; empty for a draft
	Digest     string // h1: directory hash; may be empty for a draft
	Author     string
	ApprovedBy string
	ApprovedOn string // day, YYYY-MM-DD
	Told       string // who was told of it
	Reason     string // why it was changed
	Review     string // what the review found: the change against the release before it
	Note       string // what changed

	WithdrawnOn      string // day, YYYY-MM-DD
	WithdrawnBecause string
}

// Releases is a policies folder: the entries of its releases.yaml, and the
// folders they speak of.
type Releases struct {
	list     []Release
	policies fs.FS
}

// ReadReleases reads and checks the releases.yaml of a policies folder, and
// that folders and entries match. It opens none of the releases. An error
// about the file itself is of type [Problems].
func ReadReleases(policies fs.FS) (*Releases, error) {
	data, err := fs.ReadFile(policies, ReleasesFile)
	if err != nil {
		return nil, fmt.Errorf("reading the releases: %w\n    mend: give the folder that holds %s, or load a release's own folder", err, ReleasesFile)
	}
	list, d, err := parseReleases(data)
	if err != nil {
		return nil, err
	}
	r := &Releases{policies: policies, list: list}
	var problems Problems
	for i, release := range list {
		if info, err := fs.Stat(policies, release.Version); err != nil || !info.IsDir() {
			problems = append(problems, d.valueProblem(childPointer("/releases", i)+"/version",
				fmt.Sprintf("there is no folder for release %s", release.Version), "add the folder, or take the entry out"))
		}
	}
	folders, err := fs.ReadDir(policies, ".")
	if err != nil {
		return nil, fmt.Errorf("listing the releases: %w", err)
	}
	for _, f := range folders {
		if f.Type()&fs.ModeSymlink != 0 && semver.IsValid("v"+f.Name()) {
			problems = append(problems, Problem{File: f.Name(), Message: "is no folder but a symbolic link", Mend: "put the release's own folder there"})
		}
		if _, err := r.Find(f.Name()); f.IsDir() && semver.IsValid("v"+f.Name()) && err != nil {
			problems = append(problems, Problem{File: ReleasesFile, Message: "the folder " + f.Name() + " has no entry", Mend: "add one; a release that is still worked on is a draft"})
		}
	}
	if len(problems) > 0 {
		return nil, problems.sorted()
	}
	return r, nil
}

// ParseReleases reads and checks the content of a releases.yaml, whatever folders
// there are. An error about it is of type [Problems].
func ParseReleases(content []byte) ([]Release, error) {
	list, _, err := parseReleases(content)
	return list, err
}

func parseReleases(content []byte) ([]Release, *document, error) {
	d, problems := parseYAML(ReleasesFile, content)
	if len(problems) > 0 {
		return nil, nil, problems.sorted()
	}
	problems, err := validators{}.check("releases", d, d.value, "")
	if err != nil {
		return nil, nil, err
	}
	if len(problems) > 0 {
		return nil, nil, problems.sorted()
	}
	var list []Release
	entries, _ := d.value.(map[string]any)["releases"].([]any)
	for _, e := range entries {
		entry, _ := e.(map[string]any)
		word := func(name string) string { v, _ := entry[name].(string); return v }
		list = append(list, Release{
			Version: word("version"), State: word("state"), From: word("from"), Digest: word("digest"),
			Author: word("author"), ApprovedBy: word("approved_by"), ApprovedOn: word("approved_on"),
			Told: word("told"), Reason: word("reason"), Review: word("review"), Note: word("note"),
			WithdrawnOn: word("withdrawn_on"), WithdrawnBecause: word("withdrawn_because"),
		})
	}
	return list, d, nil
}

// All lists the releases in the order of releases.yaml.
func (r *Releases) All() []Release { return slices.Clone(r.list) }

// Folder is the folder of an entry.
func (r *Releases) Folder(entry Release) (fs.FS, error) {
	folder, err := fs.Sub(r.policies, entry.Version)
	if err != nil {
		return nil, fmt.Errorf("opening release %s: %w", entry.Version, err)
	}
	return folder, nil
}

// Find gives the entry of a version.
func (r *Releases) Find(version string) (Release, error) {
	var versions []string
	for _, e := range r.list {
		if e.Version == version {
			return e, nil
		}
		versions = append(versions, e.Version)
	}
	if len(versions) == 0 {
		return Release{}, fmt.Errorf("finding release %q: %s lists none", version, ReleasesFile)
	}
	return Release{}, fmt.Errorf("finding release %q: no such release\n    mend: the releases are %s", version, strings.Join(versions, ", "))
}

// Newest gives the released entry with the highest version, whatever its day.
func (r *Releases) Newest() (Release, error) {
	var best Release
	for _, e := range r.list {
		if e.State == Released && (best.Version == "" || semver.Compare("v"+e.Version, "v"+best.Version) > 0) {
			best = e
		}
	}
	if best.Version == "" {
		return Release{}, fmt.Errorf("finding the newest release: none is released\n    mend: name a version; %s", r.summary())
	}
	return best, nil
}

// InForce gives the release in force on a local day, YYYY-MM-DD: of those
// released whose first day is that day or earlier, the one with the highest
// version. Drafts and withdrawn releases are in force on no day.
func (r *Releases) InForce(day string) (Release, error) {
	if _, err := time.Parse(time.DateOnly, day); err != nil {
		return Release{}, fmt.Errorf("finding the release in force: %q is no day written as 2026-05-04", day)
	}
	var best Release
	for _, e := range r.list {
		// Days written year-month-day are in order as text.
		if e.State == Released && e.From <= day && (best.Version == "" || semver.Compare("v"+e.Version, "v"+best.Version) > 0) {
			best = e
		}
	}
	if best.Version == "" {
		return Release{}, fmt.Errorf("finding the release in force on %s: there is none\n    mend: name a version; %s", day, r.summary())
	}
	return best, nil
}

// summary tells what releases there are, for one who asked in vain.
func (r *Releases) summary() string {
	if len(r.list) == 0 {
		return ReleasesFile + " lists none"
	}
	var parts []string
	for _, e := range r.list {
		part := e.Version + " is " + e.State
		switch e.State {
		case Draft:
			part = e.Version + " is a draft"
		case Released:
			part += " from " + e.From + " on"
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, ", ")
}

// Unaltered demands that the folder of a released or withdrawn entry is as it was
// frozen. Of a draft it demands nothing.
func (r *Releases) Unaltered(entry Release) error {
	if entry.State == Draft {
		return nil
	}
	folder, err := r.Folder(entry)
	if err != nil {
		return err
	}
	digest, err := Digest(folder)
	var problems Problems
	switch {
	case errors.As(err, &problems):
		return fmt.Errorf("looking at release %s:\n%w", entry.Version, err)
	case err != nil:
		return fmt.Errorf("looking at release %s: %w", entry.Version, err)
	case digest != entry.Digest:
		return fmt.Errorf("looking at release %s:\n%w", entry.Version, altered(entry.Version, digest, entry.Digest))
	}
	return nil
}

// altered says that a release has another digest than the one it was frozen with.
func altered(version, have, want string) Problems {
	return Problems{{
		Message: fmt.Sprintf("release %s was altered: its folder has the digest %s, %s says %s", version, have, ReleasesFile, want),
		Mend:    "put the files back as they were released; a correction is a new version",
	}}
}

// Open loads the release of an entry. A released or withdrawn one is loaded
// under its digest, and refused if its folder has changed since; a draft is
// checked whole. Native and without are as in [Options].
func (r *Releases) Open(ctx context.Context, entry Release, native bool, without ...string) (*Set, error) {
	folder, err := r.Folder(entry)
	if err != nil {
		return nil, err
	}
	opt := Options{Version: entry.Version, Native: native, Without: without}
	if entry.State != Draft {
		if entry.Digest == "" {
			return nil, fmt.Errorf("opening release %s: it is %s without a digest", entry.Version, entry.State)
		}
		opt.Vouched = entry.Digest
	}
	set, err := Load(ctx, folder, opt)
	var problems Problems
	if errors.As(err, &problems) {
		return nil, fmt.Errorf("loading release %s:\n%w", entry.Version, err)
	}
	if err != nil {
		return nil, fmt.Errorf("loading release %s: %w", entry.Version, err)
	}
	return set, nil
}
