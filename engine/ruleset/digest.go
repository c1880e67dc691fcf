package ruleset

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"

	"golang.org/x/mod/sumdb/dirhash"
)

// Digest is the directory hash of a release: the h1: hash of
// golang.org/x/mod/sumdb/dirhash over all its files, equal to dirhash.HashDir
// on the same folder with an empty prefix. Names and contents count; times do not,
// for an embedded release has none. Links, devices and the like are refused, and
// so is a file that may be executed where others may not: it is the one mode that
// version control keeps, and no file of a release is a program. Where all files
// may, the disk knows no modes.
func Digest(release fs.FS) (string, error) {
	f, problems, err := readFiles(release)
	if err != nil {
		return "", err
	}
	if len(problems) > 0 {
		return "", problems.sorted()
	}
	return f.digest()
}

// files are the contents of a release by slash-separated path.
type files struct {
	names   []string // sorted
	content map[string][]byte
}

// readFiles reads a release whole, once: what is hashed is what is loaded.
func readFiles(release fs.FS) (files, Problems, error) {
	f := files{content: map[string][]byte{}}
	var problems Problems
	var executable []string
	err := fs.WalkDir(release, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir():
			return nil
		case !d.Type().IsRegular():
			problems = append(problems, Problem{
				File:    name,
				Message: fmt.Sprintf("is no regular file but %s", kindOfFile(d.Type())),
				Mend:    "put a copy of the file itself into the release",
			})
			return nil
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		if info.Mode()&0o111 != 0 {
			executable = append(executable, name)
		}
		data, err := fs.ReadFile(release, name)
		if err != nil {
			return err
		}
		f.names = append(f.names, name)
		f.content[name] = data
		return nil
	})
	if err != nil {
		return files{}, nil, fmt.Errorf("reading the release: %w", err)
	}
	if len(f.names) == 0 && len(problems) == 0 {
		return files{}, nil, errors.New("reading the release: the folder is empty")
	}
	if len(executable) < len(f.names) {
		for _, name := range executable {
			problems = append(problems, Problem{
				File:    name,
				Message: "may be executed; a release holds no programs",
				Mend:    "take the mode away: chmod -x " + name,
			})
		}
	}
	slices.Sort(f.names)
	return f, problems, nil
}

func (f files) digest() (string, error) {
	return dirhash.Hash1(f.names, func(name string) (io.ReadCloser, error) {
		return io.NopCloser(bytes.NewReader(f.content[name])), nil
	})
}

func kindOfFile(mode fs.FileMode) string {
	switch {
	case mode&fs.ModeSymlink != 0:
		return "a symbolic link"
	case mode&fs.ModeNamedPipe != 0:
		return "a named pipe"
	case mode&fs.ModeSocket != 0:
		return "a socket"
	case mode&fs.ModeDevice != 0:
		return "a device"
	}
	return "something irregular"
}
