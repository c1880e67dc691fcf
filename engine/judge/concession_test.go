package judge

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

// TestConcede tries one concession at a time on outcomes of rules that allow it
// to the lead, to lead and customer together, and to nobody.
func TestConcede(t *testing.T) {
	const (
		byLead   = "condition.battery.as_told"
		byBoth   = "condition.battery.no_gravity"
		byNobody = "programme.plan.kept"
	)
	fit := Concession{ID: "C-1", Kind: AfterTheFact, Machine: "SM-01", Rule: byLead, Subject: "cell B1.1", Release: "0.1.0",
		From: "2026-05-04", To: "2026-08-02", GrantedBy: "lead-1", GrantedRole: "lead", GrantedOn: "2026-05-06"}
	tests := []struct {
		name   string
		change func(*Concession)
		why    string // part of the reason; "" where it is applied, "-" where nothing is said
	}{
		{"fits, from its first day", func(c *Concession) {}, ""},
		{"on its last day", func(c *Concession) { c.From, c.To = "2026-02-03", "2026-05-04" }, ""},
		{"for this visit", func(c *Concession) { c.Visit = "V-0001" }, ""},
		{"for any machine", func(c *Concession) { c.Machine = "" }, ""},
		{"a permit granted on the day", func(c *Concession) { c.Kind, c.GrantedOn = DeviationPermit, "2026-05-04" }, ""},
		{"by lead and customer where the lead would do", func(c *Concession) { c.GrantedRole = "lead-and-customer" }, ""},
		{"lead and customer", func(c *Concession) {
			c.Rule, c.GrantedRole, c.CustomerAgreed = byBoth, "lead-and-customer", true
		}, ""},
		{"not yet", func(c *Concession) { c.From = "2026-05-05" }, "holds from 2026-05-05"},
		{"expired", func(c *Concession) { c.From, c.To = "2026-04-01", "2026-05-03" }, "to 2026-05-03, the visit started on 2026-05-04"},
		{"too long", func(c *Concession) { c.To = "2026-08-03" }, "more than 90 days"},
		{"another release", func(c *Concession) { c.Release = "0.2.0" }, "release 0.2.0"},
		{"no such rule", func(c *Concession) { c.Rule = "condition.battery.unheard_of" }, "has no rule"},
		{"another subject", func(c *Concession) { c.Subject = "cell B7.1" }, `no subject "cell B7.1"`},
		{"nothing to concede", func(c *Concession) { c.Subject = "cell B1.2" }, "the outcome is conforming"},
		{"indeterminate", func(c *Concession) { c.Subject = "cell B1.10" }, "the outcome is indeterminate"},
		{"critical", func(c *Concession) { c.Subject = "cell B1.3" }, "critical"},
		{"covered already", func(c *Concession) { c.Subject = "cell B1.4" }, "C-0 covers"},
		{"allowed to nobody", func(c *Concession) { c.Rule, c.Subject = byNobody, "visit" }, "allows no concession"},
		{"the lead alone where both must", func(c *Concession) { c.Rule = byBoth }, "customer"},
		{"the customer has not agreed", func(c *Concession) { c.Rule, c.GrantedRole = byBoth, "lead-and-customer" }, "customer"},
		{"granted by somebody who was there", func(c *Concession) { c.GrantedBy = "tech-07" }, "was on the visit"},
		{"a permit granted afterwards", func(c *Concession) { c.Kind, c.GrantedOn = DeviationPermit, "2026-05-05" }, "before the visit"},
		{"another machine", func(c *Concession) { c.Machine = "SM-02" }, "-"},
		{"another visit", func(c *Concession) { c.Visit = "V-0002" }, "-"},
		{"any machine, and it does not matter here", func(c *Concession) { c.Machine, c.Subject = "", "cell B1.2" }, "-"},
	}
	rec := testRecord(t, "", nil)
	for _, test := range tests {
		outcomes := []verdict.Outcome{
			{Rule: byLead, Subject: "cell B1.1", Severity: verdict.Major, Outcome: verdict.Nonconforming},
			{Rule: byLead, Subject: "cell B1.2", Severity: verdict.Major, Outcome: verdict.Conforming},
			{Rule: byLead, Subject: "cell B1.3", Severity: verdict.Critical, Outcome: verdict.Nonconforming},
			{Rule: byLead, Subject: "cell B1.4", Severity: verdict.Major, Outcome: verdict.Nonconforming, ConcededBy: "C-0"},
			{Rule: byLead, Subject: "cell B1.10", Severity: verdict.Major, Outcome: verdict.Indeterminate, Because: verdict.Limit},
			{Rule: byBoth, Subject: "cell B1.1", Severity: verdict.Major, Outcome: verdict.Nonconforming},
			{Rule: byNobody, Subject: "visit", Severity: verdict.Minor, Outcome: verdict.Nonconforming},
		}
		before := verdict.Count(outcomes)
		c := fit
		test.change(&c)
		ignored := concede(testSet(t), rec, outcomes, []Concession{c})
		after := verdict.Count(outcomes)
		if before.Nonconforming != after.Nonconforming {
			t.Errorf("%s: a concession changed an outcome", test.name)
		}
		applied := after.Conceded - before.Conceded
		switch {
		case test.why == "" && (applied != 1 || len(ignored) != 0):
			t.Errorf("%s: applied %d times, ignored %v; want applied once", test.name, applied, ignored)
		case test.why == "-" && (applied != 0 || len(ignored) != 0):
			t.Errorf("%s: applied %d times, ignored %v; want neither", test.name, applied, ignored)
		case len(test.why) > 1 && (applied != 0 || len(ignored) != 1 || !strings.Contains(ignored[0].Why, test.why)):
			t.Errorf("%s: applied %d times, ignored %v; want it ignored for %q", test.name, applied, ignored, test.why)
		}
	}
}

func TestDecodeConcession(t *testing.T) {
	concessions, err := schema.Compile("concession")
	if err != nil {
		t.Fatal(err)
	}
	decoder := record.NewDecoder(concessions, record.Limits{})
	const good = `{"schema": "concession/1", "id": "C-4", "kind": "concession", "machine": "SM-01", "rule": "condition.battery.weak_cell",
		"subject": "cell B1.2", "release": "1.0.0", "reason": "block on order", "instead": "charged every night", "from": "2026-05-04",
		"to": "2026-06-01", "granted_by": "lead-1", "granted_role": "lead-and-customer", "granted_on": "2026-05-05", "customer_agreed": true}`
	c, err := DecodeConcession(decoder, "c.json", []byte(good))
	if err != nil {
		t.Fatal(err)
	}
	want := Concession{Schema: "concession/1", ID: "C-4", Kind: AfterTheFact, Machine: "SM-01", Rule: "condition.battery.weak_cell",
		Subject: "cell B1.2", Release: "1.0.0", Reason: "block on order", Instead: "charged every night", From: "2026-05-04", To: "2026-06-01",
		GrantedBy: "lead-1", GrantedRole: "lead-and-customer", GrantedOn: "2026-05-05", CustomerAgreed: true}
	if c != want {
		t.Errorf("got %+v, want %+v", c, want)
	}
	// Every field that the schema has must be one that is read.
	var fields map[string]json.RawMessage
	data, err := schema.Read("concession")
	if err != nil {
		t.Fatal(err)
	}
	var doc struct{ Properties map[string]json.RawMessage }
	if err := json.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	out, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(out, &fields); err != nil {
		t.Fatal(err)
	}
	for name := range doc.Properties {
		if _, ok := fields[name]; !ok {
			t.Errorf("the schema's field %q is not read", name)
		}
	}
	for name, test := range map[string]struct{ old, new, problem string }{
		"no JSON":          {`{"schema"`, `{schema`, "c.json: line 1, column 2: "},
		"key twice":        {`"id": "C-4"`, `"id": "C-4", "id": "C-5"`, "/id: "},
		"unknown field":    {`"id": "C-4"`, `"id": "C-4", "colour": "red"`, "/colour: "},
		"missing field":    {`"reason": "block on order", `, ``, `"reason" is missing`},
		"no such day":      {`"from": "2026-05-04"`, `"from": "2026-02-30"`, "c.json: line 2, column 117: /from: "},
		"unknown kind":     {`"kind": "concession"`, `"kind": "waiver"`, "/kind: "},
		"not a yes or no":  {`"customer_agreed": true`, `"customer_agreed": "yes"`, "/customer_agreed: "},
		"something behind": {`true}`, `true} {}`, "more after the end"},
	} {
		if !strings.Contains(good, test.old) {
			t.Errorf("%s: there is no %s to change", name, test.old)
		}
		_, err := DecodeConcession(decoder, "c.json", []byte(strings.Replace(good, test.old, test.new, 1)))
		var problems record.Problems
		if !errors.As(err, &problems) || !strings.Contains(err.Error(), test.problem) {
			t.Errorf("%s: got %v, want a problem that says %s", name, err, test.problem)
		}
	}
}
