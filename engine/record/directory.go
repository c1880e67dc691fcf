package record

import (
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// namesHeld is how many names of a directory are held at a time. A directory
// of more is listed again for each such batch, so that memory does not grow
// with the number of its files.
const namesHeld = 16384

// directory reads the records of a directory, sorted by name.
func (r *Reader) directory(dir string, yield func(Item) bool) bool {
	for after := ""; ; {
		batch, err := namesAfter(dir, after, namesHeld)
		if err != nil {
			return yield(failed(dir, 0, err))
		}
		for _, e := range batch {
			if !r.entry(filepath.Join(dir, e.name), e.kind, yield) {
				return false
			}
		}
		if len(batch) < namesHeld {
			return true
		}
		after = batch[len(batch)-1].name
	}
}

// entry reads one thing found in a directory.
func (r *Reader) entry(path string, kind fs.FileMode, yield func(Item) bool) bool {
	fits := form(path) != other
	switch {
	case kind.IsDir():
		return r.directory(path, yield)
	case kind&fs.ModeSymlink != 0 && (fits || leadsToDirectory(path)):
		return yield(problem(path, 0, "it is a symbolic link, and links inside a directory are not followed",
			"name the link itself among the inputs, or put the file in its place"))
	case !fits:
		return true
	case !kind.IsRegular():
		return yield(problem(path, 0, "it is no regular file", "take it out of the directory"))
	}
	return r.file(path, yield)
}

func leadsToDirectory(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// A named is a thing found in a directory.
type named struct {
	name string
	kind fs.FileMode // type bits only
}

// namesAfter returns, sorted, the first n names of a directory that sort after
// the one given. Those that start with a point are left out.
func namesAfter(dir, after string, n int) ([]named, error) {
	d, err := os.Open(dir)
	if err != nil {
		return nil, err
	}
	defer d.Close()
	var held []named
	for {
		entries, err := d.ReadDir(1024)
		for _, e := range entries {
			if name := e.Name(); name > after && !strings.HasPrefix(name, ".") {
				held = append(held, named{name: strings.Clone(name), kind: e.Type()})
			}
		}
		if len(held) >= 2*n || err != nil {
			slices.SortFunc(held, func(a, b named) int { return strings.Compare(a.name, b.name) })
			held = held[:min(n, len(held))]
		}
		if err == io.EOF {
			return held, nil
		}
		if err != nil {
			return nil, err
		}
	}
}
