package record

import (
	"bytes"
	"encoding/json"
	"os"
	"testing"

	"go.yaml.in/yaml/v3"
)

// TestPointersPublished reads every pointer of the public test suite of RFC 6901
// and follows the pointers of the RFC's own example.
func TestPointersPublished(t *testing.T) {
	data, err := os.ReadFile("../../testdata/published/rfc6901.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Syntax struct {
			Pointers []struct {
				Pointer string `yaml:"pointer"`
				Valid   bool   `yaml:"valid"`
			} `yaml:"pointers"`
		} `yaml:"syntax"`
		Resolution struct {
			Document string `yaml:"document"`
			PointsAt []struct {
				Pointer string `yaml:"pointer"`
				JSON    string `yaml:"json"`
			} `yaml:"points_at"`
		} `yaml:"resolution"`
	}
	if err := yaml.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Syntax.Pointers) < 30 || len(file.Resolution.PointsAt) < 10 {
		t.Fatalf("only %d pointers and %d places", len(file.Syntax.Pointers), len(file.Resolution.PointsAt))
	}
	for _, c := range file.Syntax.Pointers {
		p, ok := parsePointer(c.Pointer)
		if ok != c.Valid {
			t.Errorf("%q: taken %t, want %t", c.Pointer, ok, c.Valid)
		}
		if ok && p.pointer() != c.Pointer {
			t.Errorf("%q is %q there and back", c.Pointer, p.pointer())
		}
	}
	doc, flaws := scan([]byte(file.Resolution.Document), Limits{}.filled())
	if len(flaws) > 0 {
		t.Fatal(flaws)
	}
	for _, c := range file.Resolution.PointsAt {
		v, ok := resolve(doc, c.Pointer)
		got, err := json.Marshal(v)
		if !ok || err != nil || !bytes.Equal(inOrder(t, got), inOrder(t, []byte(c.JSON))) {
			t.Errorf("%q is %s (%t, %v), want %s", c.Pointer, got, ok, err, c.JSON)
		}
	}
}

// inOrder writes JSON with the names of its objects in order.
func inOrder(t *testing.T, data []byte) []byte {
	t.Helper()
	var v any
	if err := json.Unmarshal(data, &v); err != nil {
		t.Fatal(err)
	}
	out, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return out
}
