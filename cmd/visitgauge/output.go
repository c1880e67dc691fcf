package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// An output is a file or folder that is either written whole or left as it was.
// What is written lies beside it, under a name that starts with a point, until
// it is kept; a run that is killed leaves that behind.
type output struct {
	path string // what it will be called
	temp string // where it lies meanwhile; empty where it is written in place
	file *os.File
}

// newOutput begins a file. What is there and is no regular file, as a device or
// a pipe, is written in place, for it cannot be replaced.
func newOutput(path string) (*output, error) {
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return nil, usage("--output %s: it is a directory\nname a file", path)
	case err == nil && !info.Mode().IsRegular():
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			return nil, fmt.Errorf("opening output: %w", err)
		}
		return &output{path: path, file: f}, nil
	case err == nil:
		// What a symbolic link leads to is replaced, not the link.
		if path, err = filepath.EvalSymlinks(path); err != nil {
			return nil, fmt.Errorf("opening output: %w", err)
		}
	case !errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("opening output: %w", err)
	}
	if err := hasFolder(path); err != nil {
		return nil, err
	}
	o := &output{path: path}
	if o.temp, err = beside(path, func(temp string) error {
		o.file, err = os.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		return err
	}); err != nil {
		return nil, err
	}
	if info != nil {
		if err := o.file.Chmod(info.Mode().Perm()); err != nil {
			return nil, errors.Join(fmt.Errorf("opening output: %w", err), o.drop())
		}
	}
	return o, nil
}

// newFolder begins a folder. One that is there already must be empty: a page of
// an earlier run would be taken for one of this.
func newFolder(path string) (*output, error) {
	entries, err := os.ReadDir(path)
	switch {
	case err == nil && len(entries) > 0:
		return nil, usage("--output %s: the folder is not empty\nname a new one, or take away what is in it", path)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return nil, usage("--output %s: %w\nname a folder", path, err)
	}
	if err := hasFolder(path); err != nil {
		return nil, err
	}
	temp, err := beside(path, func(temp string) error { return os.Mkdir(temp, 0o777) })
	if err != nil {
		return nil, err
	}
	return &output{path: path, temp: temp}, nil
}

// hasFolder refuses a path in a folder that is not there.
func hasFolder(path string) error {
	if _, err := os.Stat(filepath.Dir(path)); errors.Is(err, fs.ErrNotExist) {
		return usage("--output %s: there is no folder %s\nmake it first", path, filepath.Dir(path))
	}
	return nil
}

// beside makes that which an output is until it is whole, under a name that
// nothing has yet: a run that was killed may have left one behind, and in a
// container every run has the same number.
func beside(path string, make func(temp string) error) (temp string, err error) {
	const tries = 1000
	for i := range tries {
		temp = filepath.Join(filepath.Dir(path), fmt.Sprintf(".%s.%d-%d.part", filepath.Base(path), os.Getpid(), i))
		if err = make(temp); !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	if err != nil {
		return "", fmt.Errorf("opening output: %w", err)
	}
	return temp, nil
}

// Write writes to the file.
func (o *output) Write(data []byte) (int, error) { return o.file.Write(data) }

var _ io.Writer = (*output)(nil)

// keep gives what was written its name.
func (o *output) keep() error {
	if o.file != nil {
		var err error
		if o.temp != "" {
			err = o.file.Sync()
		}
		if err := errors.Join(err, o.file.Close()); err != nil {
			return errors.Join(fmt.Errorf("writing output: %w", err), o.remove())
		}
	}
	if o.temp == "" {
		return nil
	}
	if o.file == nil {
		// An empty folder of that name gives way.
		if err := os.Remove(o.path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return errors.Join(fmt.Errorf("writing output: %w", err), o.remove())
		}
	}
	if err := os.Rename(o.temp, o.path); err != nil {
		return errors.Join(fmt.Errorf("writing output: %w", err), o.remove())
	}
	return nil
}

// drop takes away what was written.
func (o *output) drop() error {
	var err error
	if o.file != nil {
		err = o.file.Close()
	}
	return errors.Join(err, o.remove())
}

func (o *output) remove() error {
	if o.temp == "" {
		return nil
	}
	return os.RemoveAll(o.temp)
}
