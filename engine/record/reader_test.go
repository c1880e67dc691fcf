package record

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"testing/iotest"
)

// files writes files into a new directory, and returns it. A name that ends in
// a slash is a directory.
func files(t testing.TB, content map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, data := range content {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(name, "/") {
			if err := os.MkdirAll(path, 0o755); err != nil {
				t.Fatal(err)
			}
			continue
		}
		if err := os.WriteFile(path, []byte(data), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// read returns every item in a line: source, first line, and data or problem.
// The directory is taken off the front of the sources.
func read(t testing.TB, dir string, r *Reader) []string {
	t.Helper()
	var got []string
	for item := range r.All() {
		source := filepath.ToSlash(strings.TrimPrefix(item.Source, dir))
		if item.Err == nil {
			got = append(got, fmt.Sprintf("%s:%d %s", source, item.FirstLine, item.Data))
			continue
		}
		var ps Problems
		if !errors.As(item.Err, &ps) || len(ps) != 1 || item.Data != nil {
			t.Fatalf("%s: error is %T %v, with data %t", item.Source, item.Err, item.Err, item.Data != nil)
		}
		if ps[0].Source != item.Source || ps[0].Mend == "" {
			t.Errorf("problem %+v lacks something", ps[0])
		}
		got = append(got, fmt.Sprintf("%s:%d: %s", source, item.FirstLine, ps[0].Message))
	}
	return got
}

func check(t *testing.T, got, want []string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("items are\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestReaderOrder(t *testing.T) {
	dir := files(t, map[string]string{
		"b.json": "{1}\n", "a.jsonl": "{2}\n\n  \n{3}\r\n{4}", "B.JSON": "{5}", "c/z.json": "{6}", "c/a.JSONL": "{7}\n", "c-1.json": "{8}",
		"notes.txt": "{9}", ".hidden.json": "{10}", ".git/x.json": "{11}", "d/e/f.json": "", "json": "{12}", "g.json.bak": "{13}", "named.dat": "{14}\n{15}\n",
	})
	r := NewReader([]string{
		filepath.Join(dir, "b.json"), "-", dir, filepath.Join(dir, "named.dat"), filepath.Join(dir, "b.json"),
	}, strings.NewReader("{20}\n{21}"), Limits{})
	check(t, read(t, dir, r), []string{
		"/b.json:1 {1}\n",
		"standard input:1 {20}", "standard input:2 {21}",
		"/B.JSON:1 {5}", "/a.jsonl:1 {2}", "/a.jsonl:4 {3}", "/a.jsonl:5 {4}", "/b.json:1 {1}\n",
		"/c/a.JSONL:1 {7}", "/c/z.json:1 {6}", "/c-1.json:1 {8}", "/d/e/f.json:1 ",
		"/named.dat:1 {14}", "/named.dat:2 {15}",
		"/b.json:1 {1}\n",
	})
}

func TestReaderStopsWhenToldTo(t *testing.T) {
	dir := files(t, map[string]string{"a.jsonl": "1\n2\n3\n", "b/c.json": "4"})
	for n := 1; n <= 4; n++ {
		seen := 0
		for range NewReader([]string{dir}, nil, Limits{}).All() {
			if seen++; seen == n {
				break
			}
		}
		if seen != n {
			t.Errorf("%d items were read, want %d", seen, n)
		}
	}
}

func TestReaderItemsAreTheCallersOwn(t *testing.T) {
	var all [][]byte
	for item := range NewReader([]string{"-"}, strings.NewReader("aaaa\nbbbb\ncccc\n"), Limits{}).All() {
		all = append(all, item.Data)
	}
	if got := string(bytes.Join(all, []byte(" "))); got != "aaaa bbbb cccc" {
		t.Errorf("items are %q after all were read", got)
	}
}

// A record printed with line breaks may be piped in as it is.
func TestReaderTakesOnePrintedRecord(t *testing.T) {
	for _, c := range []struct {
		in   string
		want []string
	}{
		{"{\n \"id\": 1\n}\n", []string{"standard input:1 {\n \"id\": 1\n}\n"}},
		{"\n  {  \r\n\"id\": 1}", []string{"standard input:1 \n  {  \r\n\"id\": 1}"}},
		{"{\"id\":\n1}", []string{`standard input:1 {"id":`, "standard input:2 1}"}},
		{"{}\n{\n}", []string{"standard input:1 {}", "standard input:2 {", "standard input:3 }"}},
		{"{", []string{"standard input:1 {"}},
		{"{ ", []string{"standard input:1 { "}},
		{"[\n1]", []string{"standard input:1 [", "standard input:2 1]"}},
		{strings.Repeat("\n", 5000) + "{}", []string{"standard input:5001 {}"}},
	} {
		check(t, read(t, "", NewReader([]string{"-"}, strings.NewReader(c.in), Limits{})), c.want)
		// It must not matter how the bytes come in.
		check(t, read(t, "", NewReader([]string{"-"}, iotest.OneByteReader(strings.NewReader(c.in)), Limits{})), c.want)
	}
}

// A file whose name says what it is is taken at its word.
func TestReaderGoesByTheName(t *testing.T) {
	dir := files(t, map[string]string{"a.json": "{}\n{}\n", "b.jsonl": "{\n}\n"})
	check(t, read(t, dir, NewReader([]string{dir}, nil, Limits{})), []string{
		"/a.json:1 {}\n{}\n", "/b.jsonl:1 {", "/b.jsonl:2 }",
	})
}

func TestReaderFindsNothing(t *testing.T) {
	dir := files(t, map[string]string{"empty/": "", "other/notes.txt": "{}", "deep/a/b/": "", "e.jsonl": "", "blank.jsonl": "\n \n"})
	r := NewReader([]string{
		filepath.Join(dir, "empty"), filepath.Join(dir, "other"), filepath.Join(dir, "deep"),
		filepath.Join(dir, "e.jsonl"), filepath.Join(dir, "blank.jsonl"), "-", filepath.Join(dir, "no.json"), "",
	}, strings.NewReader(""), Limits{})
	check(t, read(t, dir, r), []string{
		"/empty:1: the directory holds no record", "/other:1: the directory holds no record", "/deep:1: the directory holds no record",
		"/e.jsonl:1: there is no record in it", "/blank.jsonl:1: there is no record in it", "standard input:1: there is no record in it",
		"/no.json:1: it cannot be read: no such file or directory", ":1: it cannot be read: no such file or directory",
	})
}

// One bad record does not stop the others.
func TestReaderGoesOn(t *testing.T) {
	long := strings.Repeat("x", 101)
	dir := files(t, map[string]string{
		"a.jsonl": "{1}\n" + long + "\n{2}\n" + strings.Repeat("y", 100) + "\r\n" + long + "\r\n" + strings.Repeat("z", 100_000),
		"b.json":  long, "c.json": strings.Repeat("z", 100),
	})
	r := NewReader([]string{dir, filepath.Join(dir, "gone.json"), filepath.Join(dir, "c.json")}, nil, Limits{Bytes: 100})
	check(t, read(t, dir, r), []string{
		"/a.jsonl:1 {1}",
		"/a.jsonl:2: the record has more than 100 bytes",
		"/a.jsonl:3 {2}",
		"/a.jsonl:4 " + strings.Repeat("y", 100),
		"/a.jsonl:5: the record has more than 100 bytes",
		"/a.jsonl:6: the record has more than 100 bytes",
		"/b.json:1: the record has more than 100 bytes",
		"/c.json:1 " + strings.Repeat("z", 100),
		"/gone.json:1: it cannot be read: no such file or directory",
		"/c.json:1 " + strings.Repeat("z", 100),
	})
}

func TestReaderFails(t *testing.T) {
	broken := io.MultiReader(strings.NewReader("{1}\n{2"), iotest.ErrReader(errors.New("the disk is gone")))
	check(t, read(t, "", NewReader([]string{"-"}, broken, Limits{})), []string{
		"standard input:1 {1}",
		"standard input:2: it cannot be read: the disk is gone", // and half a line is no record
	})
	broken = io.MultiReader(strings.NewReader("{\n 1"), iotest.ErrReader(errors.New("the disk is gone")))
	check(t, read(t, "", NewReader([]string{"-"}, broken, Limits{})), []string{
		"standard input:1: it cannot be read: the disk is gone",
	})
	check(t, read(t, "", NewReader([]string{"-"}, iotest.ErrReader(errors.New("the disk is gone")), Limits{})), []string{
		"standard input:1: it cannot be read: the disk is gone",
	})
}

func TestReaderUnreadableFile(t *testing.T) {
	dir := files(t, map[string]string{"a.json": "{}", "b.json": "{}", "c/d.json": "{}"})
	for _, name := range []string{"a.json", "c"} {
		if err := os.Chmod(filepath.Join(dir, name), 0); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { os.Chmod(filepath.Join(dir, name), 0o755) })
	}
	if f, err := os.Open(filepath.Join(dir, "a.json")); err == nil {
		f.Close()
		t.Skip("this user may read files that nobody may read")
	}
	check(t, read(t, dir, NewReader([]string{dir}, nil, Limits{})), []string{
		"/a.json:1: it cannot be read: permission denied", "/b.json:1 {}", "/c:1: it cannot be read: permission denied",
	})
}

// Whoever runs the tests, a refusal of the system comes with what would mend it.
func TestFailedSaysWhatWouldMendIt(t *testing.T) {
	for mend, err := range map[string]error{
		"look for a slip in the path":                               syscall.ENOENT,
		"ask for the right to read it":                              syscall.EACCES,
		"see that the file can be read whole, and hand it in again": syscall.EIO,
	} {
		item := failed("a.json", 0, &fs.PathError{Op: "open", Path: "a.json", Err: err})
		want := "reading a.json: it cannot be read: " + err.Error() + "\n  " + mend
		if item.Err == nil || item.Err.Error() != want {
			t.Errorf("got %v, want %s", item.Err, want)
		}
	}
}

// A file that cannot be read whoever asks: on Linux, the memory of a process at
// an address where there is none.
func TestReaderFileThatFails(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("there is no such file here")
	}
	dir := files(t, map[string]string{"b.json": "{}"})
	if err := os.Symlink("/proc/self/mem", filepath.Join(dir, "mem.json")); err != nil {
		t.Fatal(err)
	}
	r := NewReader([]string{filepath.Join(dir, "mem.json"), filepath.Join(dir, "b.json")}, nil, Limits{})
	check(t, read(t, dir, r), []string{"/mem.json:1: it cannot be read: input/output error", "/b.json:1 {}"})
}

func TestReaderLinks(t *testing.T) {
	dir := files(t, map[string]string{"in/a.json": "{1}", "in/sub/b.json": "{2}", "out/c.json": "{3}"})
	for link, target := range map[string]string{
		"in/l.json": "../out/c.json", "in/ldir": "../out", "in/loop": ".", "in/gone.json": "nowhere", "in/ltext": "../out/c.json", "linked": "out", "one.json": "out/c.json",
	} {
		if err := os.Symlink(target, filepath.Join(dir, link)); err != nil {
			t.Fatal(err)
		}
	}
	r := NewReader([]string{filepath.Join(dir, "in"), filepath.Join(dir, "in", "l.json"), filepath.Join(dir, "linked"), filepath.Join(dir, "one.json")}, nil, Limits{})
	const link = "it is a symbolic link, and links inside a directory are not followed"
	check(t, read(t, dir, r), []string{
		"/in/a.json:1 {1}", "/in/gone.json:1: " + link, "/in/l.json:1: " + link, "/in/ldir:1: " + link, "/in/loop:1: " + link, "/in/sub/b.json:1 {2}",
		"/in/l.json:1 {3}", "/linked/c.json:1 {3}", "/one.json:1 {3}",
	})
}

// A directory of more files than names are held at a time is read whole and in
// order.
func TestNamesInBatches(t *testing.T) {
	dir := t.TempDir()
	var want []string
	for i := range 1000 {
		name := fmt.Sprintf("%04d.json", (i*7919)%1000)
		want = append(want, name)
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	slices.Sort(want)
	for _, n := range []int{1, 7, 100, 999, 1000, 1001} {
		var got []string
		for after := ""; n > 1 || len(got) < 20; {
			batch, err := namesAfter(dir, after, n)
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range batch {
				got = append(got, e.name)
				after = e.name
			}
			if len(batch) > n {
				t.Fatalf("%d names are held, want at most %d", len(batch), n)
			}
			if len(batch) < n {
				break
			}
		}
		if !slices.Equal(got, want[:len(got)]) || n > 1 && len(got) != len(want) {
			t.Errorf("in batches of %d: %d names, or in another order", n, len(got))
		}
	}
}

// endless gives one letter for ever, and counts.
type endless struct{ given int64 }

func (e *endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = 'a'
	}
	e.given += int64(len(p))
	return len(p), nil
}

// allocated returns how many bytes of memory something took, held or not.
func allocated(do func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	do()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// A hundred megabytes in one text: in a file, reading stops at the limit; in a
// stream, the rest of the line is passed over without being held.
func TestReaderHundredMegabytes(t *testing.T) {
	const size = 100_000_000
	t.Run("one record", func(t *testing.T) {
		e := new(endless)
		var items []Item
		used := allocated(func() {
			NewReader(nil, nil, Limits{}).whole("huge.json", e, 1, func(item Item) bool { items = append(items, item); return true })
		})
		if len(items) != 1 || items[0].Err == nil {
			t.Fatalf("items are %.100v", items)
		}
		if e.given > DefaultBytes+1<<20 {
			t.Errorf("%d bytes were read before it was refused", e.given)
		}
		if used > 8*DefaultBytes {
			t.Errorf("refusing it took %d bytes of memory", used)
		}
	})
	t.Run("a line", func(t *testing.T) {
		in := io.MultiReader(strings.NewReader("{1}\n\""), io.LimitReader(new(endless), size), strings.NewReader("\"\n{2}\n"))
		var got []string
		used := allocated(func() {
			for item := range NewReader([]string{"-"}, in, Limits{}).All() {
				got = append(got, fmt.Sprintf("%d %s %t", item.FirstLine, item.Data, item.Err != nil))
			}
		})
		check(t, got, []string{"1 {1} false", "2  true", "3 {2} false"})
		if used > 8*DefaultBytes {
			t.Errorf("passing over it took %d bytes of memory", used)
		}
	})
}

// Memory does not grow with the number of records: a thousand times as many
// leave no more behind.
func TestReaderMemoryDoesNotGrow(t *testing.T) {
	heap := func(lines int) uint64 {
		in := io.LimitReader(repeated("{\"schema\": \"small/1\", \"id\": \"V-1\"}\n"), int64(lines)*35)
		r := NewReader([]string{"-"}, in, Limits{})
		var most uint64
		n := 0
		for range r.All() {
			if n++; n%(lines/10) == 0 {
				runtime.GC()
				var m runtime.MemStats
				runtime.ReadMemStats(&m)
				most = max(most, m.HeapAlloc)
			}
		}
		if n != lines {
			t.Fatalf("%d records were read, want %d", n, lines)
		}
		return most
	}
	few, many := heap(100), heap(100_000)
	if many > few+1<<20 {
		t.Errorf("the heap holds %d bytes over 100 records, and %d over 100,000", few, many)
	}
}

// repeated gives a text over and over.
func repeated(text string) io.Reader { return &repeater{text: text} }

type repeater struct {
	text string
	at   int
}

func (r *repeater) Read(p []byte) (int, error) {
	n := copy(p, r.text[r.at:])
	r.at = (r.at + n) % len(r.text)
	return n, nil
}
