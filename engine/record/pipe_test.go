//go:build unix

package record

import (
	"path/filepath"
	"syscall"
	"testing"
)

// Reading a named pipe would wait for somebody to write into it.
func TestReaderPipeInDirectory(t *testing.T) {
	dir := files(t, map[string]string{"b.json": "{}"})
	if err := syscall.Mkfifo(filepath.Join(dir, "a.json"), 0o644); err != nil {
		t.Skip(err)
	}
	check(t, read(t, dir, NewReader([]string{dir}, nil, Limits{})), []string{"/a.json:1: it is no regular file", "/b.json:1 {}"})
}
