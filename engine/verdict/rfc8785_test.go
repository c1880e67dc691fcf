package verdict_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// canonicalVectors is the part of the published files that is read here; their
// own "sources" and "status" say where each value comes from.
type canonicalVectors struct {
	Documents []struct{ Name, Input, Output string }
	Numbers   []struct{ IEEE754, Text, Refused string }
}

func readVectors(t *testing.T, name string) canonicalVectors {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../../testdata/published/rfc8785", name))
	if err != nil {
		t.Fatal(err)
	}
	var v canonicalVectors
	if err := json.Unmarshal(data, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// TestCanonicalDocuments compares Canonical, byte for byte, with the documents
// published with RFC 8785 (cyberphone/json-canonicalization, testdata) and with
// the answers of an implementation that shares no code with ours (npm package
// canonicalize).
func TestCanonicalDocuments(t *testing.T) {
	for _, file := range []string{"vectors.json", "more.json"} {
		documents := readVectors(t, file).Documents
		if len(documents) < 6 {
			t.Fatalf("%s: %d documents, want at least 6", file, len(documents))
		}
		for _, d := range documents {
			got, err := verdict.Canonical(json.RawMessage(d.Input))
			if err != nil {
				t.Errorf("%s: %s: %v", file, d.Name, err)
				continue
			}
			if string(got) != d.Output {
				t.Errorf("%s: %s:\ngot  %s\nwant %s", file, d.Name, got, d.Output)
			}
		}
	}
}

// TestCanonicalNumbers compares Canonical with the number table of RFC 8785,
// appendix B, and the sample lines published with its test data.
func TestCanonicalNumbers(t *testing.T) {
	numbers := readVectors(t, "vectors.json").Numbers
	if len(numbers) < 26 {
		t.Fatalf("%d numbers, want at least the 24 of appendix B and 2 sample lines", len(numbers))
	}
	for _, n := range numbers {
		bits, err := strconv.ParseUint(n.IEEE754, 16, 64)
		if err != nil {
			t.Fatal(err)
		}
		double := math.Float64frombits(bits)
		if n.Refused != "" {
			if got, err := verdict.Canonical(double); err == nil {
				t.Errorf("%s: got %s, want an error: %s has no JSON form", n.IEEE754, got, n.Refused)
			}
			continue
		}
		// Seventeen digits name any double, so the number reaches Canonical whole.
		digits := strconv.FormatFloat(double, 'e', 17, 64)
		got, err := verdict.Canonical(json.RawMessage(digits))
		if err != nil {
			t.Errorf("%s: %v", n.IEEE754, err)
			continue
		}
		if string(got) != n.Text {
			t.Errorf("%s (%s): got %s, want %s", n.IEEE754, digits, got, n.Text)
		}
	}
}
