package reports_test

import (
	"bytes"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports"
	"github.com/visitgauge/visitgauge/schema"
)

var update = flag.Bool("update", false, "write what the reports look like now")

// saved reads the verdicts in testdata, which are of invented visits. They were
// saved once, and shortened by outcomes that conform: what a report of them looks
// like does not change with the rules.
func saved(t testing.TB) map[string]*verdict.Verdict {
	t.Helper()
	files, err := filepath.Glob("testdata/*.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("there are no saved verdicts: %v", err)
	}
	compiled, err := schema.Compile("verdict")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]*verdict.Verdict{}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		v, err := verdict.Decode(compiled, data)
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		out[strings.TrimSuffix(file, ".json")] = v
	}
	return out
}

// refused is a record with two things wrong.
var refused = reports.Refusal{Problems: []reports.Problem{
	{Source: "0413.json", Line: 88, Column: 14, Pointer: "/battery/cells/3/gravity/as_found/value",
		Message: "12.60 is more than the largest value allowed, 1.835", Mend: "write 1.260"},
	{Source: "0413.json", Message: "it cannot be read"},
}}

// text is a report of one verdict and a refused record.
func text(t *testing.T, v *verdict.Verdict, opt reports.TextOptions) string {
	t.Helper()
	var out bytes.Buffer
	r := reports.NewText(&out, opt)
	summary := reports.Summary{Refused: 1}
	summary.Tally.Add(v)
	for _, err := range []error{r.Visit(reports.Visit{Verdict: v}), r.Refused(refused), r.End(summary)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	return out.String()
}

func TestText(t *testing.T) {
	for name, v := range saved(t) {
		for suffix, opt := range map[string]reports.TextOptions{".txt": {}, ".all.txt": {All: true}} {
			t.Run(filepath.Base(name+suffix), func(t *testing.T) {
				got := text(t, v, opt)
				file := name + suffix
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

func TestTextKeepsToItsWidth(t *testing.T) {
	for name, v := range saved(t) {
		lines := strings.Split(strings.TrimSuffix(text(t, v, reports.TextOptions{All: true}), "\n"), "\n")
		for i, line := range lines {
			// The summary is one line, and so is the place of a problem.
			if i == len(lines)-1 || strings.HasPrefix(line, "0413.json") {
				continue
			}
			words := strings.Fields(line)
			if utf8.RuneCountInString(line) > 80 && utf8.RuneCountInString(words[len(words)-1]) < 60 {
				t.Errorf("%s: %d characters: %s", name, utf8.RuneCountInString(line), line)
			}
		}
	}
}

// Colour is only added: without it, the same is said.
func TestColorSaysNothing(t *testing.T) {
	sequence := regexp.MustCompile("\x1b\\[[0-9]*m")
	for name, v := range saved(t) {
		plain := text(t, v, reports.TextOptions{})
		colored := text(t, v, reports.TextOptions{Color: true})
		if strings.Contains(plain, "\x1b") {
			t.Errorf("%s: colour was not asked for", name)
		}
		if colored == plain {
			t.Errorf("%s: there is no colour", name)
		}
		if sequence.ReplaceAllString(colored, "") != plain {
			t.Errorf("%s: with colour something else is said", name)
		}
	}
}

// Every finding is told, whatever it was grouped with.
func TestTextTellsEveryFinding(t *testing.T) {
	findings := 0
	for name, v := range saved(t) {
		said := strings.Join(strings.Fields(text(t, v, reports.TextOptions{})), " ")
		for _, o := range v.Outcomes {
			if !o.Finding() {
				continue
			}
			findings++
			statement := strings.TrimSuffix(strings.Join(strings.Fields(o.Statement), " "), ".")
			// Of many, the subject is in the list and the statement is each's.
			_, id, _ := strings.Cut(o.Subject, " ")
			if !strings.Contains(said, statement) && !strings.Contains(said, o.Title) {
				t.Errorf("%s: nothing is said of %s, %s", name, o.Rule, o.Subject)
			}
			if o.Outcome == verdict.Nonconforming && !strings.Contains(said, id) {
				t.Errorf("%s: %s is not named", name, o.Subject)
			}
		}
	}
	if findings < 20 {
		t.Errorf("%d findings in all saved verdicts, want more", findings)
	}
}

// What is said of several subjects in one names none of them, and no part of a
// longer name is taken for one.
func TestFindingsAlikeAreToldInOne(t *testing.T) {
	v := *saved(t)["testdata/rejected"]
	v.Outcomes = nil
	for _, cell := range []string{"cell B1.1", "cell B1.2"} {
		outcome := verdict.Outcome{Subject: cell, Concern: verdict.Condition, Severity: verdict.Major, Outcome: verdict.Nonconforming}
		low, over := outcome, outcome
		low.Rule, low.Title, low.Statement = "condition.battery.a", "Full", "C"+cell[1:]+" is lower than cell B1.10 and post B1.1-a."
		over.Rule, over.Title, over.Statement = "condition.battery.b", "Level", "C"+cell[1:]+" is left over the mark."
		v.Outcomes = append(v.Outcomes, low, over)
	}
	said := strings.Join(strings.Fields(text(t, &v, reports.TextOptions{})), " ")
	for _, want := range []string{
		"- cell B1.1, B1.2: Each is lower than cell B1.10 and post B1.1-a.",
		"same cause: Each is left over the mark.",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is not in %s", want, said)
		}
	}
}

// What a record holds must be shown, not obeyed, by whoever prints the report.
func TestControlCharactersAreShown(t *testing.T) {
	v := *saved(t)["testdata/rejected"]
	v.Visit.Site = "s\x1b[2J\u202eevil\u0007"
	v.Outcomes = append([]verdict.Outcome(nil), v.Outcomes...)
	for i := range v.Outcomes {
		v.Outcomes[i].Statement = "a\x1b]0;b\x07\r" + v.Outcomes[i].Statement
	}
	said := text(t, &v, reports.TextOptions{})
	for _, r := range said {
		if r < ' ' && r != '\n' || r == '\u202e' || r == 0x7f {
			t.Fatalf("%U is in the report", r)
		}
	}
	if !strings.Contains(said, `s\u001b[2J\u202eevil\u0007`) {
		t.Errorf("it is not shown:\n%s", said)
	}
	var out bytes.Buffer
	if err := reports.NewText(&out, reports.TextOptions{}).Refused(reports.Refusal{Problems: []reports.Problem{{Source: "a\x1bb", Message: "c\nd"}}}); err != nil {
		t.Fatal(err)
	}
	if got, want := out.String(), "Record refused\na\\u001bb: c d\n\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestJSON(t *testing.T) {
	for name, v := range saved(t) {
		var out, words bytes.Buffer
		j := reports.NewJSON(&out, &words, reports.JSONOptions{})
		for _, err := range []error{j.Visit(reports.Visit{Verdict: v}), j.Refused(refused), j.End(reports.Summary{})} {
			if err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(name + ".json")
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(out.Bytes(), want) {
			t.Errorf("%s: it is not written as it was saved", name)
		}
		const said = "0413.json:88:14: /battery/cells/3/gravity/as_found/value: 12.60 is more than the largest value allowed, 1.835\n" +
			"  mend: write 1.260\n0413.json: it cannot be read\n0 visits\n"
		if words.String() != said {
			t.Errorf("in words:\n%s\nwant\n%s", words.String(), said)
		}
	}
}

func TestSummary(t *testing.T) {
	tally := verdict.Tally{
		Visits: 34, Accepted: 20, Rejected: 9, Incomplete: 5,
		Serviceable: 22, Restricted: 5, Unserviceable: 4, Undetermined: 3, NeedAttention: 15,
	}
	one := verdict.Tally{Visits: 1, Accepted: 1, Unserviceable: 1, NeedAttention: 1}
	tests := []struct {
		summary reports.Summary
		want    string
	}{
		{reports.Summary{}, "0 visits"},
		{reports.Summary{Tally: tally, Refused: 1},
			"34 visits: 20 accepted, 9 rejected, 5 incomplete; machines left: 22 serviceable, 5 restricted, 4 unserviceable, 3 undetermined; 15 need attention; 1 record refused"},
		{reports.Summary{Tally: one, Refused: 2, RefusedEarlier: 1},
			"1 visit: 1 accepted; machine left: 1 unserviceable; 1 needs attention; 2 records refused; 1 earlier record refused"},
		{reports.Summary{Tally: verdict.Tally{Visits: 2, Accepted: 2, Serviceable: 2}, Stopped: "it was interrupted", RefusedEarlier: 2},
			"Not finished: it was interrupted. What came after it was not judged.\n" +
				"2 visits: 2 accepted; machines left: 2 serviceable; none needs attention; 2 earlier records refused"},
	}
	for _, tt := range tests {
		var out bytes.Buffer
		if err := reports.NewText(&out, reports.TextOptions{}).End(tt.summary); err != nil {
			t.Fatal(err)
		}
		if got := strings.TrimSuffix(out.String(), "\n"); got != tt.want {
			t.Errorf("got  %s\nwant %s", got, tt.want)
		}
	}
}

// full is a writer without room.
type full struct{}

var errFull = errors.New("no room")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestErrorsOfWritingAreReturned(t *testing.T) {
	v := saved(t)["testdata/accepted"]
	for _, r := range []reports.Report{reports.NewText(full{}, reports.TextOptions{}), reports.NewJSON(full{}, full{}, reports.JSONOptions{}), reports.NewSARIF(full{}, full{}), reports.NewJUnit(full{}, full{}),
		reports.NewCSV(full{}, full{}), reports.NewMarkdown(full{}, reports.MarkdownOptions{})} {
		for _, err := range []error{r.Visit(reports.Visit{Verdict: v}), r.Refused(refused), r.End(reports.Summary{})} {
			if !errors.Is(err, errFull) {
				t.Errorf("%T: error %v, want %v", r, err, errFull)
			}
		}
	}
}
