package reports_test

import (
	"bytes"
	"encoding/csv"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports"
)

// formats are all that are written to one stream, by the ending of their goldens.
// What holds for each of them is tested by this table.
var formats = map[string]func(out, aside io.Writer) reports.Report{
	".txt": func(out, _ io.Writer) reports.Report { return reports.NewText(out, reports.TextOptions{}) },
	".all.txt": func(out, _ io.Writer) reports.Report {
		return reports.NewText(out, reports.TextOptions{All: true, Places: true})
	},
	".md": func(out, _ io.Writer) reports.Report { return reports.NewMarkdown(out, reports.MarkdownOptions{}) },
	".all.md": func(out, _ io.Writer) reports.Report {
		return reports.NewMarkdown(out, reports.MarkdownOptions{All: true})
	},
	".jsonl": func(out, aside io.Writer) reports.Report {
		return reports.NewJSON(out, aside, reports.JSONOptions{Terminal: true})
	},
	".sarif": func(out, aside io.Writer) reports.Report { return reports.NewSARIF(out, aside) },
	".xml":   func(out, aside io.Writer) reports.Report { return reports.NewJUnit(out, aside) },
	".csv":   func(out, aside io.Writer) reports.Report { return reports.NewCSV(out, aside) },
	".lead.txt": func(out, _ io.Writer) reports.Report {
		return reports.NewOverviewText(out, reports.OverviewOptions{RateByPerson: true})
	},
}

// goldens are the verdicts that the golden reports of formats for programs are of.
var goldens = []string{"accepted", "conceded", "tagged"}

// at is a visit with the record at hand: every pointer stands in a line and column
// of its own.
func at(v *verdict.Verdict) reports.Visit {
	return reports.Visit{Verdict: v, Source: "visits/week 19/" + v.Visit.ID + ".json",
		Place: func(pointer string) (line, column int, ok bool) {
			return 1 + len(pointer), 1 + strings.Count(pointer, "/"), true
		}}
}

// written is the report of visits and refusals, and what was told aside.
func written(t testing.TB, format string, visits []reports.Visit, refusals ...reports.Refusal) (report, aside string) {
	t.Helper()
	var out, words bytes.Buffer
	r := formats[format](&out, &words)
	var summary reports.Summary
	for _, v := range visits {
		summary.Tally.Add(v.Verdict)
		if err := r.Visit(v); err != nil {
			t.Fatal(err)
		}
	}
	for _, refusal := range refusals {
		switch {
		case refusal.Earlier:
			summary.RefusedEarlier++
		case refusal.Saved:
			summary.RefusedSaved++
		default:
			summary.Refused++
		}
		if err := r.Refused(refusal); err != nil {
			t.Fatal(err)
		}
	}
	if err := r.End(summary); err != nil {
		t.Fatal(err)
	}
	return out.String(), words.String()
}

func TestGoldens(t *testing.T) {
	verdicts := saved(t)
	for _, format := range []string{".md", ".sarif", ".xml", ".csv", ".lead.txt"} {
		for _, name := range goldens {
			t.Run(name+format, func(t *testing.T) {
				v := verdicts["testdata/"+name]
				if v == nil {
					t.Fatalf("there is no verdict %s", name)
				}
				got, _ := written(t, format, []reports.Visit{at(v)}, refused)
				if again, _ := written(t, format, []reports.Visit{at(v)}, refused); again != got {
					t.Error("written again, it differs")
				}
				file := filepath.Join("testdata", name+format)
				if *update {
					if err := os.WriteFile(file, []byte(got), 0o666); err != nil {
						t.Fatal(err)
					}
				}
				want, err := os.ReadFile(file)
				if err != nil {
					t.Fatal(err)
				}
				if got != string(want) {
					t.Errorf("%s is not as it was; got\n%s", file, got)
				}
			})
		}
	}
}

// What was refused is told of in every format, or beside it; and so is the
// summary.
func TestNothingRefusedIsLost(t *testing.T) {
	v := saved(t)["testdata/accepted"]
	for format := range formats {
		for name, r := range map[string]reports.Refusal{
			"1 record refused":         refused,
			"1 earlier record refused": {Earlier: true, Problems: refused.Problems},
			"1 verdict refused":        {Saved: true, Problems: refused.Problems},
		} {
			report, aside := written(t, format, []reports.Visit{{Verdict: v}}, r)
			said := report + aside
			if format == ".sarif" || format == ".xml" { // these have a place for it
				said = report
			}
			for _, problem := range r.Problems {
				if !strings.Contains(strings.ToLower(strings.ReplaceAll(said, "\\", "")), problem.Message) {
					t.Errorf("%s: the problem %q is not told of", format, problem.Message)
				}
			}
			if !strings.Contains(report+aside, name) {
				t.Errorf("%s: it does not say %q", format, name)
			}
		}
	}
}

// The rows of CSV are read back by another reader as the outcomes are.
func TestCSVIsReadBack(t *testing.T) {
	verdicts := saved(t)
	var visits []reports.Visit
	for _, name := range slices.Sorted(maps.Keys(verdicts)) {
		visits = append(visits, at(verdicts[name]))
	}
	report, _ := written(t, ".csv", visits)
	for line := range strings.SplitSeq(strings.TrimSuffix(report, "\r\n"), "\r\n") {
		if strings.ContainsAny(line, "\r\n") {
			t.Fatalf("a row of more than one line: %q", line)
		}
	}
	rows, err := csv.NewReader(strings.NewReader(report)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	rows = rows[1:]
	for _, visit := range visits {
		v := visit.Verdict
		for _, o := range v.Outcomes {
			if len(rows) == 0 {
				t.Fatal("there are fewer rows than outcomes")
			}
			row := rows[0]
			rows = rows[1:]
			line, col := "", ""
			if o.Pointer != "" {
				l, c, _ := visit.Place(o.Pointer)
				line, col = itoa(l), itoa(c)
			}
			for name, want := range map[string]string{
				"visit": v.Visit.ID, "kind": v.Visit.Kind, "level": v.Visit.Level, "site": v.Visit.Site, "serial": v.Visit.Serial,
				"class": v.Visit.Class, "started": v.Visit.Started, "ended_as": v.Visit.EndedAs, "record": v.Visit.Digest,
				"acceptance": string(v.Acceptance.Value), "serviceability": string(v.Serviceability), "completion": string(v.Completion),
				"release": v.Release.Version, "rule": o.Rule, "concern": string(o.Concern), "severity": string(o.Severity),
				"subject": o.Subject, "outcome": string(o.Outcome), "because": string(o.Because), "conceded_by": o.ConcededBy,
				"title": o.Title, "statement": strings.Join(strings.Split(o.Statement, "\n"), " "), "remedy": o.Remedy, "who": o.Who,
				"pointer": o.Pointer, "source": visit.Source, "line": line, "column": col,
			} {
				i, ok := column[name]
				if !ok {
					t.Fatalf("there is no column %q", name)
				}
				if row[i] != want {
					t.Errorf("%s of %s, %s: %q, want %q", name, o.Rule, o.Subject, row[i], want)
				}
			}
			if len(row) != 28 {
				t.Fatalf("%d columns, want 28", len(row))
			}
		}
	}
	if len(rows) > 0 {
		t.Errorf("%d rows more than outcomes", len(rows))
	}
}
