package publish

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// State is what is known of a release after its catalogue was seen to.
type State struct {
	ruleset.Release
	// Folder is the digest that the folder has now; that of the entry, if it has
	// one, may be older in a draft.
	Folder string
	// Written tells whether the catalogue was written anew.
	Written bool
}

// Catalogues writes the catalogue.json of each draft from the metadata of its
// rules, where it is not up to date, and gives the state of every release in the
// order of releases.yaml. Released folders are looked at and left alone. The error
// is of all releases that are at fault; the others are done.
func (f *Folder) Catalogues(ctx context.Context) ([]State, error) {
	releases, err := f.Releases()
	if err != nil {
		return nil, err
	}
	var out []State
	var faults []error
	for _, entry := range releases.All() {
		s, err := f.seeTo(ctx, entry)
		if err != nil {
			faults = append(faults, err)
			continue
		}
		out = append(out, s)
	}
	return out, errors.Join(faults...)
}

func (f *Folder) seeTo(ctx context.Context, entry ruleset.Release) (s State, err error) {
	s.Release = entry
	if entry.State == ruleset.Draft {
		if s.Written, err = f.catalogue(ctx, entry.Version, entry.Version); err != nil {
			return s, err
		}
	}
	s.Folder, err = f.digest(entry)
	return s, err
}

// catalogue writes the catalogue of a version that lies in a folder, and tells
// whether it had to.
func (f *Folder) catalogue(ctx context.Context, version, folder string) (bool, error) {
	release, err := f.release(folder)
	if err != nil {
		return false, err
	}
	want, err := ruleset.BuildCatalogue(ctx, release)
	if err != nil {
		return false, fmt.Errorf("making the catalogue of %s:\n%w", version, err)
	}
	have, err := fs.ReadFile(release, ruleset.CatalogueFile)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return false, fmt.Errorf("making the catalogue of %s: %w", version, err)
	}
	if err == nil && bytes.Equal(have, want) {
		return false, nil
	}
	return true, f.replace(path.Join(folder, ruleset.CatalogueFile), partOf(version+"-"+ruleset.CatalogueFile), want)
}

// digest is that of a release's folder. Of one that is no draft it must be that of
// the entry.
func (f *Folder) digest(entry ruleset.Release) (string, error) {
	release, err := f.release(entry.Version)
	if err != nil {
		return "", err
	}
	digest, err := ruleset.Digest(release)
	if err != nil {
		return "", fmt.Errorf("hashing release %s: %w", entry.Version, err)
	}
	if entry.State != ruleset.Draft && digest != entry.Digest {
		return "", fmt.Errorf("release %s is %s with the digest %s, its folder has %s\n    mend: put the files back; a correction is a new version", entry.Version, entry.State, entry.Digest, digest)
	}
	return digest, nil
}

// NoteDigest writes the digest that the folder of a draft has now into its entry. A
// draft may change after that, and its digest be written anew. For a release that
// is no draft it does nothing but hold the folder to the digest.
func (f *Folder) NoteDigest(version string) (err error) {
	releases, err := f.Releases()
	if err != nil {
		return err
	}
	entry, err := releases.Find(version)
	if err != nil {
		return err
	}
	digest, err := f.digest(entry)
	if err != nil || entry.Digest == digest {
		return err
	}
	l, err := f.lock()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, l.unlock()) }()
	entry.Digest = digest
	return l.set(entry)
}
