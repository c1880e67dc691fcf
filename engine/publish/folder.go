package publish

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Folder is a policies folder on disk. It must be closed.
type Folder struct {
	name string
	root *os.Root // nothing outside the folder is reached through it
}

// Open opens the policies folder of that name, which holds releases.yaml.
func Open(name string) (*Folder, error) {
	root, err := os.OpenRoot(name)
	if err != nil {
		return nil, fmt.Errorf("opening the policies folder: %w\n    mend: name the folder that holds %s", err, ruleset.ReleasesFile)
	}
	f := &Folder{name: name, root: root}
	if _, err := f.Releases(); err != nil {
		return nil, errors.Join(err, root.Close())
	}
	return f, nil
}

// Close gives the folder back.
func (f *Folder) Close() error { return f.root.Close() }

// Releases reads and checks the folder's releases.yaml.
func (f *Folder) Releases() (*ruleset.Releases, error) { return ruleset.ReadReleases(f.root.FS()) }

// partOf is where something is written before it is whole.
func partOf(name string) string { return "." + name + ".part" }

// A list is releases.yaml while it is changed. Nobody else changes it meanwhile:
// the file its new content is written to can be made only once.
type list struct {
	folder *Folder
	old    []byte
	part   *os.File // nil once it took the place of the list
}

// lock begins to change releases.yaml. It must be unlocked.
func (f *Folder) lock() (*list, error) {
	name := partOf(ruleset.ReleasesFile)
	part, err := f.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	switch {
	case errors.Is(err, fs.ErrExist):
		return nil, fmt.Errorf("changing %s in %s: %s is there: another command is at work, or one was broken off\n    mend: if none is at work, remove %s", ruleset.ReleasesFile, f.name, name, name)
	case err != nil:
		return nil, fmt.Errorf("changing %s in %s: %w\n    mend: make the folder one that you may write to, or work in a copy of it", ruleset.ReleasesFile, f.name, err)
	}
	l := &list{folder: f, part: part}
	if l.old, err = f.root.ReadFile(ruleset.ReleasesFile); err != nil {
		return nil, errors.Join(fmt.Errorf("changing %s in %s: %w", ruleset.ReleasesFile, f.name, err), l.unlock())
	}
	return l, nil
}

// set writes the entry of a release anew, with the fields it has now.
func (l *list) set(entry ruleset.Release) error {
	content, err := withFields(l.old, entry)
	if err != nil {
		return fmt.Errorf("changing %s in %s: %w", ruleset.ReleasesFile, l.folder.name, err)
	}
	return l.write(content, entry)
}

// write puts new content in the place of releases.yaml. The version must then
// stand there as it is wanted, and every other entry as it was.
func (l *list) write(content []byte, want ruleset.Release) error {
	doing := func(err error) error {
		return fmt.Errorf("changing %s in %s: %w", ruleset.ReleasesFile, l.folder.name, err)
	}
	if err := l.check(content, want); err != nil {
		return doing(err)
	}
	_, err := l.part.Write(content)
	if err = errors.Join(err, l.part.Sync(), l.part.Close()); err != nil {
		return doing(err)
	}
	if err := l.folder.root.Rename(partOf(ruleset.ReleasesFile), ruleset.ReleasesFile); err != nil {
		return doing(err)
	}
	l.part = nil
	return nil
}

// check reads the new content as the releases of the folder.
func (l *list) check(content []byte, want ruleset.Release) error {
	before, err := ruleset.ParseReleases(l.old)
	if err != nil {
		return err
	}
	after, err := ruleset.ParseReleases(content)
	if err != nil {
		return fmt.Errorf("the entry of %s cannot be written into it: %w", want.Version, err)
	}
	for i, e := range after {
		switch {
		case e.Version == want.Version && e == want:
		case e.Version != want.Version && i < len(before) && e == before[i]:
		default:
			return fmt.Errorf("the entry of %s is written in a way that cannot be changed line by line\n    mend: give each entry one line a field, as in \"state: draft\"", e.Version)
		}
	}
	added := 1
	for _, e := range before {
		if e.Version == want.Version {
			added = 0
		}
	}
	if len(after) != len(before)+added {
		return fmt.Errorf("it would list %d releases, not %d", len(after), len(before)+added)
	}
	return nil
}

// unlock ends the change. What was not written whole is taken away.
func (l *list) unlock() error {
	if l.part == nil {
		return nil
	}
	_ = l.part.Close() // it may be closed already, and is removed anyhow
	l.part = nil
	return l.folder.root.Remove(partOf(ruleset.ReleasesFile))
}

// replace writes a file of the folder anew, whole or not at all. The part is
// written beside the version folders, where no release would take it for its own.
func (f *Folder) replace(name, part string, content []byte) error {
	err := f.root.WriteFile(part, content, 0o644)
	if err == nil {
		err = f.root.Rename(part, name)
	}
	if err != nil {
		return errors.Join(fmt.Errorf("writing %s in %s: %w", name, f.name, err), f.root.RemoveAll(part))
	}
	return nil
}

// release is the folder of a version. A link to a folder elsewhere is refused:
// what it leads to could change unseen.
func (f *Folder) release(version string) (fs.FS, error) {
	info, err := f.root.Lstat(version)
	if err != nil {
		return nil, fmt.Errorf("opening release %s: %w", version, err)
	}
	if !info.IsDir() {
		return nil, fmt.Errorf("opening release %s: it is no folder, but leads to one\n    mend: put the folder itself in its place", version)
	}
	return fs.Sub(f.root.FS(), version)
}

// sound opens a release to see that it is as its entry says: a draft is checked
// whole, another is what its digest vouches for.
func (f *Folder) sound(ctx context.Context, releases *ruleset.Releases, entry ruleset.Release) (*ruleset.Set, error) {
	if _, err := f.release(entry.Version); err != nil {
		return nil, err
	}
	return releases.Open(ctx, entry, false)
}
