package record

import (
	"bytes"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/santhosh-tekuri/jsonschema/v5"

	"github.com/visitgauge/visitgauge/schema"
)

var update = flag.Bool("update", false, "write the problems that were found into testdata/problems")

// smallSchema is a schema of the tests' own, so that the wording of problems is
// tested apart from what a visit holds.
var smallSchema = sync.OnceValue(func() *jsonschema.Schema {
	data, err := os.ReadFile("testdata/small.schema.json")
	if err != nil {
		panic(err)
	}
	s, err := schema.CompileBytes("https://visitgauge.invalid/test/small.schema.json", data)
	if err != nil {
		panic(err)
	}
	return s
})

// TestProblems decodes every record in testdata/problems: a file <name>.json of
// an archive, followed by <name>.txt with the problems it must be refused with,
// or nothing if it must be accepted. A record's last line break is not part of
// it.
func TestProblems(t *testing.T) {
	archives, err := filepath.Glob("testdata/problems/*.txtar")
	if err != nil {
		t.Fatal(err)
	}
	if len(archives) == 0 {
		t.Fatal("there are no archives in testdata/problems")
	}
	d := NewDecoder(smallSchema(), Limits{String: 60, Members: 12, Depth: 6, Bytes: 2000})
	for _, file := range archives {
		t.Run(filepath.Base(file), func(t *testing.T) {
			a, err := txtar.ParseFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if len(a.Files) == 0 || len(a.Files)%2 != 0 {
				t.Fatalf("%s has %d files, want pairs", file, len(a.Files))
			}
			for i := 0; i < len(a.Files); i += 2 {
				in, want := a.Files[i], &a.Files[i+1]
				name := strings.TrimSuffix(in.Name, ".json")
				if want.Name != name+".txt" {
					t.Fatalf("%s is followed by %s", in.Name, want.Name)
				}
				got := problemsOf(t, d, in.Name, bytes.TrimSuffix(in.Data, []byte("\n")))
				if *update {
					want.Data = []byte(got)
				} else if got != string(want.Data) {
					t.Errorf("%s: problems are\n%swant\n%s", name, got, want.Data)
				}
			}
			if *update {
				if err := os.WriteFile(file, txtar.Format(a), 0o644); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}

// problemsOf returns the problems of a record as people read them.
func problemsOf(t *testing.T, d *Decoder, name string, data []byte) string {
	t.Helper()
	r, err := d.Decode(name, 1, data)
	if (r == nil) == (err == nil) {
		t.Fatalf("%s: record %v and error %v", name, r != nil, err)
	}
	if err == nil {
		return ""
	}
	var ps Problems
	if !errors.As(err, &ps) {
		t.Fatalf("%s: error is %T", name, err)
	}
	for _, p := range ps {
		if p.Line < 1 || p.Column < 1 || p.Message == "" || p.Mend == "" || p.Source != name {
			t.Errorf("%s: problem %+v lacks something", name, p)
		}
	}
	return strings.ReplaceAll(err.Error(), "reading "+name+": ", "") + "\n"
}
