package stream_test

import (
	"fmt"
	"os"
	"slices"
	"testing"

	"go.yaml.in/yaml/v3"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

// expectation is what testdata/demo/expected.yaml says of one visit.
type expectation struct {
	Acceptance     string
	Serviceability string
	Completion     string
	Finds, Never   []string // "outcome rule | subject", the outcome of an indeterminate one being its reason
}

// TestDemo judges the demo scenario and holds each verdict to what was written
// down of its visit beforehand.
func TestDemo(t *testing.T) {
	text, err := os.ReadFile("../../testdata/demo/expected.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var expected map[string]expectation
	if err := yaml.Unmarshal(text, &expected); err != nil {
		t.Fatal(err)
	}
	visits, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	refused, judged := 0, map[string]bool{}
	err = stream.Run(t.Context(), record.NewReader([]string{"../../testdata/demo"}, nil, record.Limits{}).All(), stream.Options{
		Decoder: record.NewDecoder(visits, record.Limits{}),
		Rules:   stream.ByFolder(os.DirFS("../../policies/1.0.0"), true),
		History: &history.Tracker{},
		Workers: 2,
	}, func(r stream.Result) error {
		if r.Verdict == nil {
			refused++
			return nil
		}
		v := r.Verdict
		judged[v.Visit.ID] = true
		want, ok := expected[v.Visit.ID]
		if !ok {
			t.Errorf("visit %s: nothing is expected of it in expected.yaml", v.Visit.ID)
			return nil
		}
		got := fmt.Sprint(v.Acceptance.Value, ", ", v.Serviceability, ", ", v.Completion)
		if wanted := want.Acceptance + ", " + want.Serviceability + ", " + want.Completion; got != wanted {
			t.Errorf("visit %s: is %s, want %s", v.Visit.ID, got, wanted)
		}
		found := outcomes(v)
		for _, f := range want.Finds {
			if !slices.Contains(found, f) {
				t.Errorf("visit %s: %s is missing", v.Visit.ID, f)
			}
		}
		for _, f := range want.Never {
			if slices.Contains(found, f) {
				t.Errorf("visit %s: %s must not be there", v.Visit.ID, f)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if refused != 1 || len(judged) != len(expected) || len(judged) < 30 {
		t.Errorf("%d visits judged of %d expected, %d records refused; want all, at least 30, and 1 refused", len(judged), len(expected), refused)
	}
}

func outcomes(v *verdict.Verdict) []string {
	var out []string
	for _, o := range v.Outcomes {
		word := string(o.Outcome)
		if o.Outcome == verdict.Indeterminate {
			word = string(o.Because)
		}
		out = append(out, word+" "+o.Rule+" | "+o.Subject)
	}
	return out
}
