package verdict_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

// sample is a verdict in which every field is used. Its visit is invented.
func sample() *verdict.Verdict {
	sum := "sha256:" + strings.Repeat("0", 64)
	outcomes := []verdict.Outcome{
		{
			Rule: "condition.battery.weak_cell", Subject: "cell B1.2", Concern: verdict.Condition, Severity: verdict.Major,
			Outcome: verdict.Nonconforming, Title: "No cell is far below the others.", Pointer: "/battery/cells/1/gravity/as_found",
			Facts: []verdict.Fact{
				{Name: "below", Text: "0.060", Value: "0.060", Unit: "sg"},
				{Name: "last", Text: "1.262", Value: "1.262", Unit: "sg", Pointer: "/battery/cells/1/gravity/as_found", Earlier: "battery"},
				{Name: "most", Text: "0.050", Value: "0.050", Unit: "sg", Limit: "battery.weak_cell_major max",
					Source: "an invented source", Mark: "common practice"},
				{Name: "reading", Text: "1.200", Value: "1.200", Unit: "sg", Pointer: "/battery/cells/1/gravity/as_found"},
			},
			Statement: "Cell B1.2 reads 1.200, 0.060 under the mean of the others.", Why: "A weak cell takes the others with it.",
			Remedy: "Have the block replaced.", Who: "specialist", Cautions: []string{"Acid burns."},
			Concession: "lead-and-customer", ConcededBy: "C-4",
		},
		{
			Rule: "condition.battery.weak_cell", Subject: "cell B1.10", Concern: verdict.Condition, Severity: verdict.Major,
			Outcome: verdict.Indeterminate, Because: verdict.State, Title: "No cell is far below the others.",
			Statement: "Cell B1.10 could not be compared.", Why: "A weak cell takes the others with it.",
			Remedy: "Charge, then read again.", Who: "technician", Concession: "lead",
		},
		{
			Rule: "procedure.closing.signed", Subject: "visit", Concern: verdict.Procedure, Severity: verdict.Minor,
			Outcome: verdict.Conforming, Title: "The technician signed.", Statement: "The technician signed.",
		},
		{
			Rule: "programme.plan.due", Subject: "visit", Concern: verdict.Programme, Severity: verdict.Minor,
			Outcome: verdict.NotApplicable, Title: "The service is not overdue.", Statement: "this is the first visit",
		},
	}
	return &verdict.Verdict{
		Schema: verdict.Version,
		Visit: verdict.Visit{
			ID: "V-0412", Kind: "service", Level: "full", Site: "site-03", Serial: "WB-1107", Class: "walk-behind-flooded",
			Started: "2026-05-04T08:00:00+02:00", Ended: "2026-05-04T09:30:00+02:00", EndedAs: "completed", Digest: sum,
		},
		Received: "2026-05-04T17:00:00+02:00",
		Earlier: []verdict.Earlier{
			{Slot: "last_visit", Visit: "V-0399", Digest: sum},
			{Slot: "last_service", Level: "full", Visit: "V-0399", Digest: sum},
		},
		Release:        verdict.Release{Version: "1.0.0", Digest: "h1:" + strings.Repeat("A", 43) + "="},
		Acceptance:     verdict.Acceptance{Value: verdict.Accepted, Remarks: true},
		Serviceability: verdict.Undetermined,
		Completion:     verdict.Partial,
		Cause:          verdict.CauseSite,
		NeedsAttention: true,
		Counts:         verdict.Count(outcomes),
		Tags:           []verdict.Tag{{Tag: "T-3", PlacedIn: "V-0399"}},
		Restrictions:   []verdict.Restriction{{ID: "R-2", NotToDo: "no ramps", Until: "2026-06-01", PlacedIn: "V-0412"}},
		Outcomes:       outcomes,
		Ignored:        []verdict.Ignored{{ID: "C-5", Why: "it holds from 2026-01-01 to 2026-02-01, the visit started on 2026-05-04"}},
	}
}

func TestEncodeKeepsToTheSchema(t *testing.T) {
	s, err := schema.Compile("verdict")
	if err != nil {
		t.Fatal(err)
	}
	bare := sample()
	bare.Received, bare.Cause, bare.Earlier, bare.Tags, bare.Restrictions, bare.Ignored = "", verdict.NoCause, nil, nil, nil, nil
	for name, v := range map[string]*verdict.Verdict{"full": sample(), "bare": bare} {
		data, err := verdict.Encode(v)
		if err != nil {
			t.Fatal(err)
		}
		back, err := verdict.Decode(s, data)
		if err != nil {
			t.Fatalf("%s: %v\n%s", name, err, data)
		}
		again, err := verdict.Encode(back)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(data, again) {
			t.Errorf("%s: read and written again it differs:\n%s\n%s", name, data, again)
		}
		if name == "full" && !reflect.DeepEqual(back, v) {
			t.Errorf("read back as %+v\nwant %+v", back, v)
		}
	}
}

func TestDecodeRefuses(t *testing.T) {
	s, err := schema.Compile("verdict")
	if err != nil {
		t.Fatal(err)
	}
	data, err := verdict.Encode(sample())
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct{ name, old, new, want string }{
		{"cut off", `"visit":"V-0399"}]`, ``, "reading verdict"},
		{"key twice", `"tag":"T-3"`, `"tag":"T-3","tag":"T-4"`, "duplicate"},
		{"unknown field", `"tag":"T-3"`, `"tag":"T-3","colour":"red"`, "additionalProperties"},
		{"unknown answer", `"value":"accepted"`, `"value":"fine"`, "enum"},
		{"conforming with a reason", `"outcome":"conforming"`, `"because":"state","outcome":"conforming"`, "because"},
		{"no reason", `"because":"state",`, ``, "because"},
		{"critical conceded", `"rule":"condition.battery.weak_cell","severity":"major"`, `"rule":"condition.battery.weak_cell","severity":"critical"`, "severity"},
		{"count changed", `"state":1`, `"state":0`, "counts"},
		{"not acceptable with remarks", `"value":"accepted"`, `"value":"rejected"`, "remarks"},
		{"number for text", `"value":"1.200"`, `"value":1.2`, "expected string"},
		{"attention taken away", `"needs_attention":true`, `"needs_attention":false`, "needs_attention"},
		{"trailing", `"tag":"T-3"`, `"tag":"T-3"}`, "reading verdict"},
	}
	for _, test := range tests {
		if !bytes.Contains(data, []byte(test.old)) {
			t.Errorf("%s: the sample has no %s", test.name, test.old)
			continue
		}
		changed := bytes.Replace(data, []byte(test.old), []byte(test.new), 1)
		v, err := verdict.Decode(s, changed)
		if err == nil || v != nil {
			t.Errorf("%s: accepted", test.name)
			continue
		}
		if text := fmt.Sprintf("%#v", err); !strings.Contains(err.Error(), test.want) && !strings.Contains(text, test.want) {
			t.Errorf("%s: %v; want something about %q", test.name, err, test.want)
		}
	}
}

func TestCount(t *testing.T) {
	c := verdict.Count(sample().Outcomes)
	want := verdict.Counts{Conforming: 1, NotApplicable: 1, Conceded: 1}
	want.Nonconforming.Major, want.Indeterminate.State = 1, 1
	if c != want {
		t.Errorf("got %+v, want %+v", c, want)
	}
	if n := c.Conforming + c.Nonconforming.Total() + c.Indeterminate.Total() + c.NotApplicable; n != len(sample().Outcomes) {
		t.Errorf("the counts add up to %d, there are %d outcomes", n, len(sample().Outcomes))
	}
}

func TestCompareSubjects(t *testing.T) {
	want := []string{
		"battery", "block B1", "block B2", "block B10", "cell B1", "cell B1.1", "cell B1.2", "cell B1.10", "cell B1.10a",
		"cell B2.1", "cell B10.1", "item F-07", "item F-7", "item F-12", "link B1+/B2-", "post B1+", "post B1-", "visit",
	}
	got := slices.Clone(want)
	random := rand.New(rand.NewPCG(3, 4))
	for range 50 {
		random.Shuffle(len(got), func(i, j int) { got[i], got[j] = got[j], got[i] })
		slices.SortFunc(got, verdict.CompareSubjects)
		if !slices.Equal(got, want) {
			t.Fatalf("got  %q\nwant %q", got, want)
		}
	}
	for _, a := range want {
		for _, b := range want {
			ab, ba := verdict.CompareSubjects(a, b), verdict.CompareSubjects(b, a)
			if ab != -ba || (ab == 0) != (a == b) {
				t.Errorf("%q and %q compare as %d, the other way round as %d", a, b, ab, ba)
			}
		}
	}
}
