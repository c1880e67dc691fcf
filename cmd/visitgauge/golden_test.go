package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

var update = flag.Bool("update", false, "write what the reports look like now")

// digests are replaced in golden reports: they change with every byte of the
// rules and of the records, and nobody can read them.
var digests = regexp.MustCompile(`(h1:|sha256:)[0-9A-Za-z+/=]{40,}`)

// TestGolden judges visits by the newest rules and compares the text report. The
// visits are the spotless ones of the release, and the same with believable
// faults.
func TestGolden(t *testing.T) {
	spotless := baseVisits(t)
	tests := []struct {
		name string
		code int
		args []string
		edit []string // old and new text, in the first visit that has the old one
	}{
		{name: "spotless", code: 0},
		{
			name: "faults", code: 1,
			edit: []string{
				// a cell of the flooded walk-behind that is low, with the others full
				`"cell":"B1.2","gravity":{"as_found":{"value":1.268,`, `"cell":"B1.2","gravity":{"as_found":{"value":1.228,`,
				// the ride-on's hydrometer was due for calibration
				`"certificate":"C-2026-hy-1","last":"2026-01-12","next":"2027-01-12"`, `"certificate":"C-2026-hy-1","last":"2025-01-12","next":"2026-01-12"`,
			},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			lines := bytes.Join(spotless, []byte("\n"))
			for i := 0; i < len(tt.edit); i += 2 {
				if !bytes.Contains(lines, []byte(tt.edit[i])) {
					t.Fatalf("no visit holds %s", tt.edit[i])
				}
				lines = bytes.Replace(lines, []byte(tt.edit[i]), []byte(tt.edit[i+1]), 1)
			}
			var stdout, stderr bytes.Buffer
			args := append([]string{"check", "--release", benchRelease}, tt.args...)
			if code := run(context.Background(), args, bytes.NewReader(lines), &stdout, &stderr); code != tt.code {
				t.Errorf("exit code %d, want %d", code, tt.code)
			}
			if stderr.Len() > 0 {
				t.Errorf("on standard error: %s", &stderr)
			}
			got := digests.ReplaceAll(stdout.Bytes(), []byte("${1}DIGEST"))
			file := filepath.Join("testdata", "golden", tt.name+".txt")
			if *update {
				if err := os.WriteFile(file, got, 0o666); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got, want) {
				t.Errorf("%s is not as it was; got\n%s", file, got)
			}
		})
	}
}
