package ruleset

import (
	"context"
	"fmt"
	"io/fs"
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
	From       string // first local day on which it is in force, YYYY-MM-DD
	Digest     string // h1: directory hash; may be empty for a draft
	ApprovedBy string
	Author     string
	Note       string
}

// Releases is a policies folder: the entries of its releases.yaml, and the
// folders they speak of.
type Releases struct {
	list     []Release
	policies fs.FS
}

// ReadReleases reads and checks the releases.yaml of a policies folder. It
// opens none of the releases.
func ReadReleases(policies fs.FS) (*Releases, error) {
	return nil, fmt.Errorf("reading %s: no releases can be read yet", ReleasesFile)
}

// All lists the releases in the order of releases.yaml.
func (r *Releases) All() []Release { return append([]Release(nil), r.list...) }

// Find gives the entry of a version.
func (r *Releases) Find(version string) (Release, error) {
	return Release{}, fmt.Errorf("finding release %q: no such release", version)
}

// InForce gives the newest release in force on a local day, YYYY-MM-DD.
func (r *Releases) InForce(day string) (Release, error) {
	return Release{}, fmt.Errorf("finding the release in force on %s: none", day)
}

// Open loads the release of an entry. A released or withdrawn one is loaded
// under its digest and refused if its folder has changed since; a draft is
// checked whole.
func (r *Releases) Open(ctx context.Context, entry Release, native bool) (*Set, error) {
	return nil, fmt.Errorf("opening release %s: not there", entry.Version)
}
