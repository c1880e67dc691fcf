package schema_test

import (
	"os"
	"testing"

	"github.com/visitgauge/visitgauge/schema"
	"go.yaml.in/yaml/v3"
)

// TestParseDateTimePublished reads every time of the public test suite of RFC
// 3339: what is wrong there is refused here, what is right is taken unless the
// table says that a stricter reader may refuse it, as this one then does.
func TestParseDateTimePublished(t *testing.T) {
	data, err := os.ReadFile("../testdata/published/rfc3339.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Times []struct {
			Time   string `yaml:"time"`
			Valid  bool   `yaml:"valid"`
			Beyond string `yaml:"beyond"`
			Why    string `yaml:"why"`
		} `yaml:"times"`
	}
	if err := yaml.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Times) < 20 {
		t.Fatalf("only %d times", len(file.Times))
	}
	for _, c := range file.Times {
		_, err := schema.ParseDateTime(c.Time)
		if want := c.Valid && c.Beyond == ""; (err == nil) != want {
			t.Errorf("%q (%s%s): %v, want taken %t", c.Time, c.Why, c.Beyond, err, want)
		}
	}
}
