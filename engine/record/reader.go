package record

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"os"
	"path/filepath"
	"strings"
)

// Stdin is what the source of an [Item] is called that was read from standard
// input.
const Stdin = "standard input"

// An Item is the bytes of one record, or the reason why they could not be had.
type Item struct {
	// Source is the path of the file, or [Stdin].
	Source string

	// FirstLine is the line of the source that the record starts on, from 1.
	FirstLine int

	// Offset is where the record starts in the source, in bytes from 0.
	Offset int64

	// Data is the bytes of the record, the caller's own; nil if Err is set.
	Data []byte

	// Err, of type [Problems], says why there are no bytes. Reading goes on
	// after it.
	Err error
}

// A Reader finds records in files, directories and streams. It holds one record
// at a time, so that its memory does not grow with their number.
type Reader struct {
	paths []string
	stdin io.Reader
	lim   Limits
}

// NewReader returns a reader of the paths, in their order:
//
//   - A file whose name ends in .json is one record.
//   - A file whose name ends in .jsonl is a stream of JSON Lines: one record a
//     line; blank lines are passed over.
//   - "-" is standard input, and is a stream too. So is a file of any other
//     name. As the one exception, such a stream is one record if its first
//     line, blank ones aside, is an opening brace alone: no line of JSON Lines
//     is, but every record printed with line breaks.
//   - A directory is its files whose names end in .json or .jsonl, and its
//     directories likewise, sorted by name. Names that start with a point are
//     passed over, and files of other names; a symbolic link, or something
//     that is no regular file, with a fitting name is an error. Links are
//     followed only where they are named in paths.
//
// Endings of names may be in capitals. Where nothing is found in one of the
// paths, that is an error too, so that an empty directory never looks like one
// in which all is well.
func NewReader(paths []string, stdin io.Reader, lim Limits) *Reader {
	return &Reader{paths: paths, stdin: stdin, lim: lim.filled()}
}

// All returns the items in input order. An item is not held once the next is
// asked for. Standard input can be read once only; all else is read anew by
// each call.
func (r *Reader) All() iter.Seq[Item] {
	return func(yield func(Item) bool) {
		for _, path := range r.paths {
			if !r.path(path, yield) {
				return
			}
		}
	}
}

// The methods below return false if yield did, and nothing more is wanted.

// path reads what was named by the caller.
func (r *Reader) path(path string, yield func(Item) bool) bool {
	if path == "-" {
		return r.sniff(Stdin, r.stdin, yield)
	}
	info, err := os.Stat(path)
	if err != nil {
		return yield(failed(path, 0, err))
	}
	if !info.IsDir() {
		return r.file(path, yield)
	}
	found := false
	if !r.directory(path, func(item Item) bool { found = true; return yield(item) }) {
		return false
	}
	if found {
		return true
	}
	return yield(problem(path, 0, "the directory holds no record", "name a directory with files that end in .json or .jsonl"))
}

// file reads a file, by its name as one record or as a stream.
func (r *Reader) file(path string, yield func(Item) bool) bool {
	f, err := os.Open(path)
	if err != nil {
		return yield(failed(path, 0, err))
	}
	defer f.Close()
	switch form(path) {
	case single:
		return r.whole(path, f, 1, yield)
	case stream:
		return r.lines(path, bufio.NewReader(f), 1, yield)
	default:
		return r.sniff(path, f, yield)
	}
}

// whole reads the rest of a source as one record.
func (r *Reader) whole(source string, in io.Reader, firstLine int, yield func(Item) bool) bool {
	// One byte more than is allowed tells that there is more.
	data, err := io.ReadAll(io.LimitReader(in, r.lim.Bytes+1))
	switch {
	case err != nil:
		return yield(failed(source, 0, err))
	case int64(len(data)) > r.lim.Bytes:
		return yield(Item{Source: source, FirstLine: firstLine, Err: Problems{tooLarge(source, firstLine, r.lim.Bytes)}})
	}
	return yield(Item{Source: source, FirstLine: firstLine, Data: data})
}

// sniff reads a source whose name does not tell what it is.
func (r *Reader) sniff(source string, in io.Reader, yield func(Item) bool) bool {
	buffered := bufio.NewReader(in)
	blank, err := startsAlone(buffered)
	if err != nil {
		return yield(failed(source, 0, err))
	}
	if blank {
		return r.whole(source, buffered, 1, yield)
	}
	return r.lines(source, buffered, 1, yield)
}

// startsAlone tells whether the first line that is not blank is an opening
// brace alone. It looks no further ahead than the buffer reaches.
func startsAlone(in *bufio.Reader) (bool, error) {
	for n := 1; n <= in.Size(); n++ {
		ahead, err := in.Peek(n)
		if err != nil && err != io.EOF {
			return false, err
		}
		text := strings.TrimLeft(string(ahead), " \t\r\n")
		if text == "" && err == nil {
			continue
		}
		rest, brace := strings.CutPrefix(text, "{")
		if !brace {
			return false, nil
		}
		rest = strings.TrimLeft(rest, " \t\r")
		if rest != "" || err != nil {
			return strings.HasPrefix(rest, "\n"), nil
		}
	}
	return false, nil
}

// lines reads a source as JSON Lines.
func (r *Reader) lines(source string, in *bufio.Reader, firstLine int, yield func(Item) bool) bool {
	found := false
	var offset, next int64
	for number := firstLine; ; number++ {
		line, length, tooLong, err := r.line(in)
		offset, next = next, next+length
		if err != nil && err != io.EOF {
			return yield(failed(source, number, err)) // what was read of the line is no record
		}
		switch {
		case tooLong:
			found = true
			item := Item{Source: source, FirstLine: number, Offset: offset, Err: Problems{tooLarge(source, number, r.lim.Bytes)}}
			if !yield(item) {
				return false
			}
		case len(bytes.TrimSpace(line)) > 0:
			found = true
			if !yield(Item{Source: source, FirstLine: number, Offset: offset, Data: line}) {
				return false
			}
		}
		if err == io.EOF {
			break
		}
	}
	if found {
		return true
	}
	return yield(problem(source, 0, "there is no record in it", "hand in one JSON record a line"))
}

// line reads one line, without its end, and tells how many bytes it took with
// it. Of a line that is longer than a record may be, the rest is passed over
// without being held.
func (r *Reader) line(in *bufio.Reader) (line []byte, length int64, tooLong bool, err error) {
	for {
		part, err := in.ReadSlice('\n')
		length += int64(len(part))
		if !tooLong {
			line = append(line, part...)
			if int64(len(line)) > r.lim.Bytes+int64(len("\r\n")) {
				line, tooLong = nil, true
			}
		}
		if err == bufio.ErrBufferFull {
			continue
		}
		if n := len(line); n > 0 && line[n-1] == '\n' {
			line = line[:n-1]
			if n > 1 && line[n-2] == '\r' {
				line = line[:n-2]
			}
		}
		if int64(len(line)) > r.lim.Bytes {
			line, tooLong = nil, true
		}
		return line, length, tooLong, err
	}
}

// What a file holds, by its name.
const (
	other = iota
	single
	stream
)

func form(name string) int {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".json":
		return single
	case ".jsonl":
		return stream
	}
	return other
}

// failed returns the item for a source that the system would not read.
func failed(source string, line int, err error) Item {
	reason := err
	var pathError *fs.PathError
	if errors.As(err, &pathError) {
		reason = pathError.Err // the path is the source, which is printed anyway
	}
	mend := "see that the file can be read whole, and hand it in again"
	switch {
	case errors.Is(err, fs.ErrNotExist):
		mend = "look for a slip in the path"
	case errors.Is(err, fs.ErrPermission):
		mend = "ask for the right to read it"
	}
	return problem(source, line, fmt.Sprintf("it cannot be read: %v", reason), mend)
}

// problem returns the item for a source with one thing wrong.
func problem(source string, line int, message, mend string) Item {
	p := Problem{Source: source, Line: line, Message: message, Mend: mend}
	if line > 0 {
		p.Column = 1
	}
	return Item{Source: source, FirstLine: max(line, 1), Err: Problems{p}}
}
