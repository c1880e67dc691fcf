package saved

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"github.com/visitgauge/visitgauge/engine/record"
)

// Records finds records by their digest. It holds where each of them stands, and
// reads it again when it is wanted. The zero value holds none.
type Records struct {
	sources []string
	at      map[string]*standing // by digest
	unasked int                  // how many were never asked for
}

// A standing is where a record stands.
type standing struct {
	source int // in Records.sources
	offset int64
	size   int
	line   int
	asked  bool
}

// A Found is a record that was found.
type Found struct {
	// Source is the path of the file.
	Source string
	// Data are the bytes of the record.
	Data []byte
	// Place tells where in it the value at a JSON pointer stands: see
	// [record.Places].
	Place func(pointer string) (line, column int, ok bool)
}

// Add notes where the record of an item stands, and returns what is wrong with an
// item that could not be read, or is of a source that can be read only once. Of
// records with the same bytes the first counts. They are not held against their
// schema: that they are those of a verdict is for the digest to say.
func (r *Records) Add(item record.Item) error {
	if item.Err != nil {
		return item.Err
	}
	if n := len(r.sources); n == 0 || r.sources[n-1] != item.Source {
		info, err := os.Stat(item.Source)
		if err == nil && !info.Mode().IsRegular() {
			err = errors.New("it is no regular file")
		}
		if err != nil {
			return record.Problems{{
				Source: item.Source, Line: item.FirstLine, Column: 1,
				Message: "the record cannot be read again when it is wanted",
				Mend:    "write the records to a file, and name that",
			}}
		}
		r.sources = append(r.sources, item.Source)
	}
	digest := record.Digest(item.Data)
	if r.at == nil {
		r.at = map[string]*standing{}
	}
	if r.at[digest] == nil {
		r.at[digest] = &standing{source: len(r.sources) - 1, offset: item.Offset, size: len(item.Data), line: item.FirstLine}
		r.unasked++
	}
	return nil
}

// Unasked is how many of the records were never found: that no verdict is of.
func (r *Records) Unasked() int { return r.unasked }

// Find returns the record of a digest, or false where there is none. It is an
// error if the record cannot be read again as it was.
func (r *Records) Find(digest string) (Found, bool, error) {
	at, ok := r.at[digest]
	if !ok {
		return Found{}, false, nil
	}
	found, err := r.read(digest)
	if err != nil {
		return Found{}, false, err
	}
	if !at.asked {
		at.asked = true
		r.unasked--
	}
	return found, true, nil
}

// read reads the record of a digest that is there.
func (r *Records) read(digest string) (Found, error) {
	at := r.at[digest]
	source := r.sources[at.source]
	data, err := readAt(source, at.offset, at.size)
	if err == nil && record.Digest(data) != digest {
		err = errors.New("it has changed since it was first read")
	}
	if err != nil {
		return Found{}, fmt.Errorf("reading record %s, line %d, again: %w", source, at.line, err)
	}
	return Found{Source: source, Data: data, Place: record.Places(data, at.line)}, nil
}

// readAt reads part of a file.
func readAt(path string, offset int64, size int) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		var pathError *fs.PathError
		if errors.As(err, &pathError) {
			err = pathError.Err // the path is told anyway
		}
		return nil, err
	}
	defer f.Close()
	data := make([]byte, size)
	if _, err := f.ReadAt(data, offset); err != nil && err != io.EOF {
		return nil, err
	}
	return data, nil
}
