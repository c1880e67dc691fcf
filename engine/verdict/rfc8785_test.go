package verdict_test

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// vectors are the published test data of canonical JSON; SOURCE.md beside them
// says where they come from.
const vectors = "../../testdata/published/rfc8785"

// TestCanonicalDocuments checks Canonical against the documents published with
// RFC 8785 (cyberphone/json-canonicalization, testdata), byte for byte.
func TestCanonicalDocuments(t *testing.T) {
	inputs, err := filepath.Glob(filepath.Join(vectors, "*.input.json"))
	if err != nil {
		t.Fatal(err)
	}
	if len(inputs) != 6 {
		t.Fatalf("found %d documents, want the 6 published ones", len(inputs))
	}
	for _, input := range inputs {
		name := strings.TrimSuffix(filepath.Base(input), ".input.json")
		t.Run(name, func(t *testing.T) {
			doc, err := os.ReadFile(input)
			if err != nil {
				t.Fatal(err)
			}
			text, err := os.ReadFile(filepath.Join(vectors, name+".outhex"))
			if err != nil {
				t.Fatal(err)
			}
			want, err := hex.DecodeString(strings.Join(strings.Fields(string(text)), ""))
			if err != nil {
				t.Fatal(err)
			}
			got, err := verdict.Canonical(json.RawMessage(doc))
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got, want) {
				t.Errorf("got  %s\nwant %s", got, want)
			}
		})
	}
}

// TestCanonicalNumbers checks Canonical against the number table of RFC 8785,
// Appendix B, and the sample lines published with its test data.
func TestCanonicalNumbers(t *testing.T) {
	table, err := os.ReadFile(filepath.Join(vectors, "numbers.csv"))
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for line := range strings.Lines(string(table)) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		rows++
		bits, want, ok := strings.Cut(line, ",")
		if !ok {
			t.Fatalf("row %q has no comma", line)
		}
		n, err := strconv.ParseUint(bits, 16, 64)
		if err != nil {
			t.Fatal(err)
		}
		// Seventeen digits name any double, so the text reaches Canonical whole.
		digits := strconv.FormatFloat(math.Float64frombits(n), 'e', 17, 64)
		got, err := verdict.Canonical(json.RawMessage(digits))
		if err != nil {
			t.Errorf("%s: %v", bits, err)
			continue
		}
		if string(got) != want {
			t.Errorf("%s (%s): got %s, want %s", bits, digits, got, want)
		}
	}
	if rows != 26 {
		t.Errorf("read %d rows, want 26", rows)
	}
}
