package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/joshdk/go-junit"
	"github.com/owenrumney/go-sarif/v3/pkg/report/v210/sarif"
	"github.com/santhosh-tekuri/jsonschema/v5"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/text"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports"
)

const demo = "../../testdata/demo"

// sarifSchema is the schema of OASIS: see testdata/published/README.md.
func sarifSchema(t testing.TB) *jsonschema.Schema {
	t.Helper()
	data, err := os.ReadFile("../../testdata/published/sarif/sarif-schema-2.1.0.json")
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.Draft, c.AssertFormat = jsonschema.Draft4, true
	const id = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
	if err := c.AddResource(id, bytes.NewReader(data)); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(id)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestDemoInEveryFormat judges the demo once, and reads each report of its saved
// verdicts back with a reader that is none of ours.
func TestDemoInEveryFormat(t *testing.T) {
	saved := filepath.Join(t.TempDir(), "verdicts.jsonl")
	var stdout, stderr bytes.Buffer
	if code := run(context.Background(), []string{"check", "--format", "json", "--output", saved, demo}, nil, &stdout, &stderr); code != exitUnjudged {
		t.Fatalf("exit code %d, want %d, for one file is no record\n%s", code, exitUnjudged, &stderr)
	}
	data, err := os.ReadFile(saved)
	if err != nil {
		t.Fatal(err)
	}
	var verdicts []*verdict.Verdict
	for line := range bytes.Lines(data) {
		var v verdict.Verdict
		if err := json.Unmarshal(line, &v); err != nil {
			t.Fatal(err)
		}
		verdicts = append(verdicts, &v)
	}
	report := func(t *testing.T, format string, args ...string) []byte {
		t.Helper()
		var stdout, stderr bytes.Buffer
		args = append([]string{"report", "--format", format, "--records", demo, saved}, args...)
		if code := run(context.Background(), args, nil, &stdout, &stderr); code != exitFailed {
			t.Fatalf("exit code %d, want %d\n%s", code, exitFailed, &stderr)
		}
		return stdout.Bytes()
	}
	t.Run("sarif", func(t *testing.T) {
		first := report(t, "sarif")
		demoSARIF(t, first, verdicts)
		if !bytes.Equal(first, report(t, "sarif")) {
			t.Error("written twice, it differs")
		}
	})
	t.Run("junit", func(t *testing.T) { demoJUnit(t, report(t, "junit"), verdicts) })
	t.Run("csv", func(t *testing.T) { demoCSV(t, report(t, "csv"), verdicts) })
	t.Run("markdown", func(t *testing.T) { demoMarkdown(t, report(t, "markdown", "--show", "all"), verdicts) })
	t.Run("json", func(t *testing.T) {
		if !bytes.Equal(report(t, "json"), data) {
			t.Error("verdicts read and written again differ")
		}
	})
}

func demoSARIF(t *testing.T, report []byte, verdicts []*verdict.Verdict) {
	var doc any
	dec := json.NewDecoder(bytes.NewReader(report))
	dec.UseNumber()
	if err := dec.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	if err := sarifSchema(t).Validate(doc); err != nil {
		t.Fatalf("%#v", err)
	}
	log, err := sarif.FromBytes(report)
	if err != nil {
		t.Fatal(err)
	}
	results, rules := log.Runs[0].Results, log.Runs[0].Tool.Driver.Rules
	for _, v := range verdicts {
		kinds := map[string]int{}
		for _, r := range results[2 : 2+len(v.Outcomes)] {
			kinds[r.Kind]++
			if id := *rules[r.RuleIndex].ID; id != *r.RuleID {
				t.Fatalf("a result of rule %s has the index of %s", *r.RuleID, id)
			}
			place := r.Locations[0]
			if uri := *place.PhysicalLocation.ArtifactLocation.URI; !strings.HasSuffix(uri, "/"+v.Visit.ID+".json") {
				t.Fatalf("visit %s stands in %s", v.Visit.ID, uri)
			}
			logical := place.LogicalLocations[0].FullyQualifiedName
			if (logical != nil) != (place.PhysicalLocation.Region != nil) {
				t.Errorf("visit %s, %s: one of pointer and region is not there", v.Visit.ID, *r.RuleID)
			}
		}
		want := map[string]int{"pass": v.Counts.Conforming, "fail": v.Counts.Nonconforming.Total(), "open": v.Counts.Indeterminate.Total(), "notApplicable": v.Counts.NotApplicable}
		for kind, n := range want {
			if kinds[kind] != n {
				t.Errorf("visit %s: %d results of kind %s, want %d", v.Visit.ID, kinds[kind], kind, n)
			}
		}
		results = results[2+len(v.Outcomes):]
	}
	if len(results) > 0 {
		t.Errorf("%d results more than outcomes", len(results))
	}
	found, helped := map[string]bool{}, 0
	for _, v := range verdicts {
		for _, o := range v.Outcomes {
			if o.Finding() {
				found[o.Rule] = true
			}
		}
	}
	for _, r := range rules {
		if r.Help != nil {
			helped++
		}
	}
	if len(found) == 0 || helped != len(found) {
		t.Errorf("%d rules have help, of %d that found something", helped, len(found))
	}
}

func demoJUnit(t *testing.T, report []byte, verdicts []*verdict.Verdict) {
	suites, err := junit.Ingest(report)
	if err != nil {
		t.Fatal(err)
	}
	if len(suites) != len(verdicts)+1 {
		t.Fatalf("%d suites of %d visits", len(suites), len(verdicts))
	}
	green := 0
	for i, v := range verdicts {
		s := suites[i]
		if s.Name != "visit "+v.Visit.ID {
			t.Fatalf("suite %q is at the place of visit %s", s.Name, v.Visit.ID)
		}
		cases := map[string]junit.Test{}
		for _, c := range s.Tests {
			cases[c.Classname] = c
		}
		wrong, undecided := map[string]bool{}, map[string]bool{}
		for _, o := range v.Outcomes {
			if o.Severity == verdict.Minor || o.Concern == verdict.Programme {
				continue
			}
			wrong[o.Rule] = wrong[o.Rule] || o.Outcome == verdict.Nonconforming && o.ConcededBy == ""
			undecided[o.Rule] = undecided[o.Rule] || o.Outcome == verdict.Indeterminate
		}
		for rule := range wrong {
			c, ok := cases[rule]
			if !ok {
				t.Fatalf("visit %s: no testcase for %s", v.Visit.ID, rule)
			}
			if isFailed := c.Status == junit.StatusFailed; isFailed != wrong[rule] {
				t.Errorf("visit %s, %s: the testcase is %s", v.Visit.ID, rule, c.Status)
			}
			if isError := c.Status == junit.StatusError; isError != (undecided[rule] && !wrong[rule]) {
				t.Errorf("visit %s, %s: the testcase is %s", v.Visit.ID, rule, c.Status)
			}
		}
		red := s.Totals.Failed+s.Totals.Error > 0
		if v.NeedsAttention && !red {
			t.Errorf("visit %s is %s, its machine %s, and nothing is red", v.Visit.ID, v.Acceptance.Value, v.Serviceability)
		}
		if !red {
			green++
		}
	}
	if green == 0 || green == len(verdicts) {
		t.Errorf("%d of %d suites are green: the test would see nothing", green, len(verdicts))
	}
}

func demoCSV(t *testing.T, report []byte, verdicts []*verdict.Verdict) {
	rows, err := csv.NewReader(bytes.NewReader(report)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := 1
	for _, v := range verdicts {
		want += len(v.Outcomes)
	}
	if len(rows) != want {
		t.Errorf("%d rows, want %d", len(rows), want)
	}
}

func demoMarkdown(t *testing.T, report []byte, verdicts []*verdict.Verdict) {
	doc := goldmark.New().Parser().Parse(text.NewReader(report))
	visits := 0
	for n := doc.FirstChild(); n != nil; n = n.NextSibling() {
		if h, ok := n.(*ast.Heading); ok && h.Level == 2 && strings.HasPrefix(string(h.Lines().Value(report)), "Visit ") {
			visits++
		}
		switch n.Kind() {
		case ast.KindHeading, ast.KindList, ast.KindParagraph:
		default:
			t.Errorf("there is a %s, and only headings, lists and paragraphs are written", n.Kind())
		}
	}
	if visits != len(verdicts) {
		t.Errorf("%d headings of %d visits", visits, len(verdicts))
	}
}

// The library has a second schema check of its own, which is slow: one visit is
// enough for it.
func TestSARIFIsValidToTheLibrary(t *testing.T) {
	var out bytes.Buffer
	args := []string{"check", "--format", "sarif", filepath.Join(demo, "V-0108.json"), filepath.Join(demo, "V-0136.json")}
	if code := run(context.Background(), args, nil, &out, &bytes.Buffer{}); code != exitUnjudged {
		t.Fatalf("exit code %d", code)
	}
	log, err := sarif.FromBytes(out.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	if err := log.Validate(); err != nil {
		t.Error(err)
	}
	if i := log.Runs[0].Invocations[0]; *i.ExecutionSuccessful || len(i.ToolExecutionNotifications) != 1 {
		t.Errorf("one record was refused, and the invocation is %+v", i)
	}
	var doc any
	if err := json.Unmarshal(out.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	if err := sarifSchema(t).Validate(doc); err != nil {
		t.Errorf("%#v", err)
	}
}

// Reports and the reader of records call standard input the same.
func TestStandardInputHasOneName(t *testing.T) {
	if reports.Stdin != record.Stdin {
		t.Errorf("%q and %q", reports.Stdin, record.Stdin)
	}
}
