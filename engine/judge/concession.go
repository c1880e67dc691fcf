package judge

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// The two kinds of document by which a nonconformity is let stand, in the words
// of ISO 9000.
const (
	AfterTheFact    = "concession"
	DeviationPermit = "deviation-permit" // granted before
)

// maxConcessionDays is how many days after its first a concession may run
// (common practice).
const maxConcessionDays = 90

// Concession lets one nonconforming outcome stand for a time. It changes no
// record and no rule: the outcome stays what it is and says by which concession
// it stands.
type Concession struct {
	Schema      string `json:"schema"`
	ID          string `json:"id"`
	Kind        string `json:"kind"`    // AfterTheFact or DeviationPermit
	Visit       string `json:"visit"`   // visit id it is limited to, if any
	Machine     string `json:"machine"` // serial it is limited to, if any
	Rule        string `json:"rule"`
	Subject     string `json:"subject"`
	Release     string `json:"release"`
	Reason      string `json:"reason"`
	Instead     string `json:"instead"`    // what is done instead
	From        string `json:"from"`       // first day, YYYY-MM-DD
	To          string `json:"to"`         // last day, YYYY-MM-DD
	GrantedBy   string `json:"granted_by"` // a person's id
	GrantedRole string `json:"granted_role"`
	GrantedOn   string `json:"granted_on"`
	// CustomerAgreed is true where the customer agreed that their machine stays
	// nonconforming.
	CustomerAgreed bool `json:"customer_agreed"`
}

// DecodeConcession reads one concession. The decoder is one of the schema of
// concessions, and the source what the bytes were read from. An error of type
// [record.Problems] tells of all that is wrong with the document.
func DecodeConcession(decoder *record.Decoder, source string, data []byte) (Concession, error) {
	var c Concession
	doc, err := decoder.Decode(source, 1, data)
	if err != nil {
		return c, err
	}
	if err := json.Unmarshal(doc.Raw(), &c); err != nil {
		return c, fmt.Errorf("reading concession %s: %w", source, err)
	}
	return c, nil
}

// concede marks the outcomes that concessions cover, and says of each concession
// for this visit or machine that covers none why it does not.
func concede(set *ruleset.Set, rec *record.Record, outcomes []verdict.Outcome, concessions []Concession) []verdict.Ignored {
	sorted := slices.Clone(concessions)
	slices.SortStableFunc(sorted, func(a, b Concession) int { return cmp.Compare(a.ID, b.ID) })
	var ignored []verdict.Ignored
	for _, c := range sorted {
		if c.Visit != "" && c.Visit != rec.ID() || c.Machine != "" && c.Machine != rec.Serial() {
			continue
		}
		at := slices.IndexFunc(outcomes, func(o verdict.Outcome) bool { return o.Rule == c.Rule && o.Subject == c.Subject })
		// One that names neither visit nor machine is spoken of only where it
		// would have mattered.
		if c.Visit == "" && c.Machine == "" && (at < 0 || outcomes[at].Outcome != verdict.Nonconforming) {
			continue
		}
		why := c.unfit(set, rec)
		if why == "" {
			why = c.uncovered(outcomes, at)
		}
		if why != "" {
			ignored = append(ignored, verdict.Ignored{ID: c.ID, Why: why})
			continue
		}
		outcomes[at].ConcededBy = c.ID
	}
	return ignored
}

// unfit says why a concession cannot hold for this visit under this release,
// whatever the outcomes are; empty if it can.
func (c Concession) unfit(set *ruleset.Set, rec *record.Record) string {
	rule, known := set.Rule(c.Rule)
	day := rec.LocalDay()
	switch {
	case c.Release != set.Version():
		return fmt.Sprintf("it is for release %s, this visit is judged by %s", c.Release, set.Version())
	case !known:
		return fmt.Sprintf("release %s has no rule %s", set.Version(), c.Rule)
	case day < c.From || day > c.To:
		return fmt.Sprintf("it holds from %s to %s, the visit started on %s", c.From, c.To, day)
	case days(c.From, c.To) > maxConcessionDays:
		return fmt.Sprintf("it runs to %s, more than %d days after %s", c.To, maxConcessionDays, c.From)
	case c.Kind == DeviationPermit && c.GrantedOn > day:
		return fmt.Sprintf("a deviation permit is granted before the visit, this one was granted on %s", c.GrantedOn)
	case rule.Concession != "lead" && rule.Concession != "lead-and-customer":
		return "the rule allows no concession"
	case rule.Concession == "lead-and-customer" && (c.GrantedRole != "lead-and-customer" || !c.CustomerAgreed):
		return "the rule allows a concession by lead and customer together, and the customer has not agreed"
	case wasThere(rec, c.GrantedBy):
		return fmt.Sprintf("%s, who granted it, was on the visit", c.GrantedBy)
	}
	return ""
}

// uncovered says why the outcome at the index cannot be conceded; empty if it can.
func (c Concession) uncovered(outcomes []verdict.Outcome, at int) string {
	switch {
	case at < 0:
		return fmt.Sprintf("the rule judged no subject %q on this visit", c.Subject)
	case outcomes[at].Outcome != verdict.Nonconforming:
		return fmt.Sprintf("the outcome is %s, there is nothing to concede", outcomes[at].Outcome)
	case outcomes[at].Severity == verdict.Critical:
		return "a critical finding is never conceded"
	case outcomes[at].ConcededBy != "":
		return fmt.Sprintf("concession %s covers the outcome already", outcomes[at].ConcededBy)
	}
	return ""
}

// days counts from one day to another. The schema has checked both dates.
func days(from, to string) int {
	a, errA := time.Parse(time.DateOnly, from)
	b, errB := time.Parse(time.DateOnly, to)
	if errA != nil || errB != nil {
		return maxConcessionDays + 1
	}
	return int(b.Sub(a).Hours() / 24)
}

// wasThere reports whether a person is among the people of the visit.
func wasThere(rec *record.Record, person string) bool {
	people, _ := rec.Value()["people"].([]any)
	for _, p := range people {
		if fields, ok := p.(map[string]any); ok && fields["id"] == person {
			return true
		}
	}
	return false
}
