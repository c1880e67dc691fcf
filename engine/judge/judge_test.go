package judge

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"reflect"
	"strings"
	"sync"
	"testing"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func newJudge(t testing.TB) *Judge {
	t.Helper()
	j, err := New(context.Background(), testSet(t))
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// TestContract holds the rule as_told to the contract, whatever it answers.
func TestContract(t *testing.T) {
	const rule = "condition.battery.as_told"
	tests := []struct {
		name, kind, note string
		want             []string // outcomes: subject, outcome, severity
		fault            []string // parts of the error
	}{
		{
			name: "each set, in reading order", kind: "service",
			note: "cell B1.10 = bad; cell B1.2 = close; cell B1.1 = good",
			want: []string{"cell B1.1 conforming major", "cell B1.2 limit major", "cell B1.10 nonconforming major"},
		},
		{
			name: "in no set: evidence", kind: "service",
			note: "cell B1.1 = good; cell B1.10 = not possible",
			want: []string{"cell B1.1 conforming major", "cell B1.2 evidence major", "cell B1.10 state major"},
		},
		{
			name: "silence about all", kind: "service", note: "nothing = said",
			want: []string{"cell B1.1 evidence major", "cell B1.2 evidence major", "cell B1.10 evidence major"},
		},
		{
			name: "severity of a subject's own", kind: "service",
			note: "cell B1.1 = very bad; cell B1.2 = very good; cell B1.10 = good",
			want: []string{"cell B1.1 nonconforming critical", "cell B1.2 conforming critical", "cell B1.10 conforming major"},
		},
		{name: "spared", kind: "repair", note: "nothing = said", want: []string{"visit not-applicable major"}},
		{name: "no subject and nothing spared", kind: "handover", note: "nothing = said", want: []string{"visit evidence major"}},
		{
			name: "subjects and spared together", kind: "re-inspection", note: allGood,
			fault: []string{rule, `subject "cell B1.1"`, "repairs are not asked"},
		},
		{
			name: "two answers", kind: "service", note: "cell B1.1 = good and bad",
			fault: []string{rule, `subject "cell B1.1"`, "two answers, conforming and nonconforming"},
		},
		{
			name: "an answer about no subject", kind: "service", note: "cell B7.1 = good",
			fault: []string{rule, `subject "cell B7.1"`, "conforming", "no subject"},
		},
		{
			name: "an answer where nothing is judged", kind: "repair", note: "cell B1.1 = bad",
			fault: []string{rule, `subject "cell B1.1"`, "nonconforming", "no subject"},
		},
		{
			name: "a rule that fails", kind: "service", note: "cell B1.1 = crash",
			fault: []string{rule, "condition/battery/as_told.rego, line ", "divide by zero"},
		},
		{
			name: "no answer", kind: "service", note: allGood + "; cause = none at all",
			fault: []string{"shared.visit.cause", "no answer"},
		},
		{
			name: "an unknown cause", kind: "service", note: allGood + "; cause = weather",
			fault: []string{"shared.visit.cause", `"weather"`},
		},
		{
			name: "an unknown completion", kind: "service", note: allGood + "; completion = most",
			fault: []string{"shared.visit.completion", `"most"`},
		},
	}
	j := newJudge(t)
	single, err := NewSingle(t.Context(), testSet(t), rule)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			c := Case{Record: testRecord(t, test.note, edits{"/kind": test.kind})}
			v, err := j.Judge(t.Context(), c)
			alone, errAlone := single.Judge(t.Context(), c, nil)
			if test.fault != nil {
				for _, err := range []error{err, errAlone} {
					var fault *Fault
					if !errors.As(err, &fault) {
						t.Fatalf("got %v, want a fault of the rule set", err)
					}
					for _, part := range append(test.fault, c.Record.ID()) {
						if !strings.Contains(err.Error(), part) {
							t.Errorf("%v\nsays nothing of %q", err, part)
						}
					}
				}
				if v != nil || alone != nil {
					t.Error("there is a verdict although a rule is faulty")
				}
				return
			}
			if err != nil || errAlone != nil {
				t.Fatal(err, errAlone)
			}
			var got []string
			var of []verdict.Outcome
			for _, o := range v.Outcomes {
				if o.Rule == rule {
					got = append(got, fmt.Sprintf("%s %s %s", o.Subject, answered(o), o.Severity))
					of = append(of, o)
				}
			}
			if !reflect.DeepEqual(got, test.want) {
				t.Errorf("got  %q\nwant %q", got, test.want)
			}
			if !reflect.DeepEqual(of, alone.Outcomes) {
				t.Errorf("alone the rule answers %+v\namong others %+v", alone.Outcomes, of)
			}
		})
	}
}

func answered(o verdict.Outcome) string {
	if o.Outcome == verdict.Indeterminate {
		return string(o.Because)
	}
	return string(o.Outcome)
}

// golden compares with a file that a person has read; -update rewrites it.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := "testdata/" + name
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("differs from %s; go test -update rewrites it\ngot:\n%s", path, got)
	}
}

// fullCase is a case in which all that can stand in a verdict does.
func fullCase(t *testing.T) Case {
	t.Helper()
	var tracker history.Tracker
	tracker.Add(testRecord(t, "", edits{"/id": "V-0000", "/started": "2026-04-06T08:00:00+02:00", "/ended": "2026-04-06T09:30:00+02:00",
		"/tags_placed": []any{map[string]any{"tag": "T-3", "signal_word": "danger", "message": "do not use", "place": "key switch",
			"key_withheld": true, "isolated": true, "at": "2026-04-06T09:00:00+02:00", "about": []any{"battery"}}},
		"/follow_ups": []any{map[string]any{"item": "F-1", "about": []any{"cell B1.1"}, "severity": "major", "owner": "us",
			"raised": "2026-04-06", "due": "2026-05-06", "what": "look at the cell again"}}}))
	rec := testRecord(t, "cell B1.1 = bad; cell B1.2 = close; completion = partial; cause = site", edits{
		"/first_visit":  false,
		"/restrictions": []any{map[string]any{"id": "R-1", "not_to_do": "no ramps", "until": "2026-06-01", "about": []any{"battery"}}},
	})
	return Case{
		Record: rec, Earlier: tracker.Earlier(rec), Received: "2026-05-04T17:00:00+02:00",
		Concessions: []Concession{
			{ID: "C-2", Kind: AfterTheFact, Machine: "SM-01", Rule: "condition.battery.as_told", Subject: "cell B1.1", Release: "0.1.0",
				From: "2026-05-01", To: "2026-06-01", GrantedBy: "lead-1", GrantedRole: "lead", GrantedOn: "2026-05-05"},
			{ID: "C-1", Kind: AfterTheFact, Machine: "SM-01", Rule: "condition.battery.as_told", Subject: "cell B1.2", Release: "0.1.0",
				From: "2026-05-01", To: "2026-06-01", GrantedBy: "lead-1", GrantedRole: "lead", GrantedOn: "2026-05-05"},
		},
	}
}

// TestVerdict compares one verdict, and the document that its rules saw, with
// files that a person has read, and holds both to their schemas.
func TestVerdict(t *testing.T) {
	c := fullCase(t)
	v, err := newJudge(t).Judge(t.Context(), c)
	if err != nil {
		t.Fatal(err)
	}
	data, err := verdict.Encode(v)
	if err != nil {
		t.Fatal(err)
	}
	verdicts, err := schema.Compile("verdict")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := verdict.Decode(verdicts, data); err != nil {
		t.Errorf("not a verdict by its own schema: %v", err)
	}
	var pretty bytes.Buffer
	if err := json.Indent(&pretty, data, "", "  "); err != nil {
		t.Fatal(err)
	}
	golden(t, "verdict.golden.json", append(pretty.Bytes(), '\n'))

	seen, err := Input(c)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "input.golden.json", seen)
	inputs, err := schema.Compile("input")
	if err != nil {
		t.Fatal(err)
	}
	dec := json.NewDecoder(bytes.NewReader(seen))
	dec.UseNumber()
	var doc any
	if err := dec.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	if err := inputs.Validate(doc); err != nil {
		t.Errorf("not an input by its schema: %v", err)
	}
	// What is printed and what is evaluated are made by different code.
	evaluated, err := inputValue(c)
	if err != nil {
		t.Fatal(err)
	}
	printed, err := ast.ValueFromReader(bytes.NewReader(seen))
	if err != nil {
		t.Fatal(err)
	}
	if printed.Compare(evaluated) != 0 {
		t.Error("the document that is printed is not the one that is evaluated")
	}
}

// TestSameCaseSameBytes judges one case many times over, several at once.
func TestSameCaseSameBytes(t *testing.T) {
	j, c := newJudge(t), fullCase(t)
	var wait sync.WaitGroup
	out := make([][]byte, 16)
	for i := range out {
		wait.Go(func() {
			v, err := j.Judge(t.Context(), c)
			if err != nil {
				t.Error(err)
				return
			}
			if out[i], err = verdict.Encode(v); err != nil {
				t.Error(err)
			}
		})
	}
	wait.Wait()
	for i := range out {
		if !bytes.Equal(out[i], out[0]) {
			t.Errorf("verdict %d differs:\n%s\n%s", i, out[i], out[0])
		}
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	v, err := newJudge(t).Judge(ctx, Case{Record: testRecord(t, allGood, nil)})
	if !errors.Is(err, context.Canceled) || v != nil {
		t.Errorf("got %v, %v; want no verdict and the cancellation", v, err)
	}
}

// TestAnswers judges whole visits: what the note says of the cells and of
// completion, and the answers that follow.
func TestAnswers(t *testing.T) {
	restriction := func(until string) edits {
		return edits{"/restrictions": []any{map[string]any{"id": "R-1", "not_to_do": "no ramps", "until": until, "about": []any{"battery"}}}}
	}
	tests := []struct {
		name, note     string
		changed        edits
		acceptance     verdict.AcceptanceValue
		serviceability verdict.Serviceability
		attention      bool
	}{
		{"sound", allGood, nil, verdict.Accepted, verdict.Serviceable, false},
		{"unsigned", allGood, edits{"/signatures/technician/by": "nobody"}, verdict.Rejected, verdict.Serviceable, true},
		{"bad", strings.Replace(allGood, "good", "bad", 1), nil, verdict.Accepted, verdict.Undetermined, true},
		{"bad and followed up", strings.Replace(allGood, "good", "bad", 1), edits{"/follow_ups": []any{map[string]any{"item": "F-1",
			"about": []any{"cell B1.1"}, "severity": "major", "owner": "us", "raised": "2026-05-04", "due": "2026-06-03", "what": "replace"}}},
			verdict.Accepted, verdict.Restricted, true},
		{"very bad", strings.Replace(allGood, "good", "very bad", 1), nil, verdict.Accepted, verdict.Unserviceable, true},
		{"service not done", allGood + "; completion = none; cause = site", nil, verdict.Accepted, verdict.Undetermined, true},
		{"service stopped", allGood + "; completion = stopped; cause = hazard", nil, verdict.Accepted, verdict.Undetermined, true},
		{"service partly done", allGood + "; completion = partial; cause = parts", nil, verdict.Accepted, verdict.Serviceable, false},
		{"cut short", allGood, edits{"/ended_as": "cut-short", "/cut_short": map[string]any{"at": "2026-05-04T09:00:00+02:00", "reason": "called away", "cause": "technician"}},
			verdict.Accepted, verdict.Undetermined, true},
		{"restricted", allGood, restriction("2026-05-04"), verdict.Accepted, verdict.Restricted, true},
		{"restriction expired", allGood, restriction("2026-05-03"), verdict.Accepted, verdict.Unserviceable, true},
		{"tagged", allGood, edits{"/tags_placed": []any{map[string]any{"tag": "T-1", "signal_word": "danger", "message": "do not use",
			"place": "key switch", "key_withheld": true, "isolated": true, "at": "2026-05-04T09:00:00+02:00", "about": []any{"battery"}}}},
			verdict.Accepted, verdict.Unserviceable, true},
	}
	j := newJudge(t)
	for _, test := range tests {
		v, err := j.Judge(t.Context(), Case{Record: testRecord(t, test.note, test.changed)})
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		if v.Acceptance.Value != test.acceptance || v.Serviceability != test.serviceability || v.NeedsAttention != test.attention {
			t.Errorf("%s: got %s, %s, attention %t; want %s, %s, %t", test.name, v.Acceptance.Value, v.Serviceability, v.NeedsAttention,
				test.acceptance, test.serviceability, test.attention)
		}
	}
}
