package archive

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"go.yaml.in/yaml/v3"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

// Retention says how long visits are kept, by kind. It decides nothing: what is
// past it is listed, and redacted by whoever answers for that.
type Retention struct {
	Schema  string   `json:"schema"` // retention/1
	Periods []Period `json:"periods"`
}

// Period is how long one kind of visit is kept.
type Period struct {
	// Kind is accepted, not-accepted, unserviceable or not-judged.
	Kind string `json:"kind"`
	// Months are counted from the local day on which the visit ended.
	Months int    `json:"months"`
	Reason string `json:"reason"`
}

// ReadRetention reads a retention document, in YAML or JSON. What is wrong with it
// is of type [record.Problems] where it is readable at all.
func ReadRetention(source string, data []byte) (Retention, error) {
	var r Retention
	var doc any
	dec := yaml.NewDecoder(bytes.NewReader(data))
	if err := dec.Decode(&doc); err != nil {
		return r, fmt.Errorf("reading retention %s: %w", source, err)
	}
	if err := dec.Decode(new(any)); !errors.Is(err, io.EOF) {
		return r, fmt.Errorf("reading retention %s: there is more than one document in it\nkeep one", source)
	}
	plain, err := json.Marshal(doc)
	if err != nil {
		return r, fmt.Errorf("reading retention %s: %w\nuse texts for keys", source, err)
	}
	compiled, err := schema.Compile("retention")
	if err != nil {
		return r, err
	}
	if _, err := record.NewDecoder(compiled, record.Limits{}).Decode(source, 1, plain); err != nil {
		var problems record.Problems
		if errors.As(err, &problems) {
			for i := range problems { // places are of the JSON made of it, which nobody sees
				problems[i].Line, problems[i].Column = 0, 0
			}
		}
		return r, err
	}
	return r, json.Unmarshal(plain, &r)
}

// Past tells whether a visit is past retention on a day (year-month-day), and why.
// One that was redacted is not: there is nothing left to take away.
func (r Retention) Past(v Visit, on string) (why string, past bool) {
	if _, gone := v.Redacted(); gone {
		return "", false
	}
	ended, err := schema.ParseDate(v.Standing().Ended[:min(len(v.Standing().Ended), len(time.DateOnly))])
	today, errToday := schema.ParseDate(on)
	if err != nil || errToday != nil {
		return "", false
	}
	for _, kind := range kindsOf(v) {
		period, ok := r.of(kind)
		if !ok {
			return "", false // kept without end
		}
		until := ended.AddDate(0, period.Months, 0)
		if until.After(today) {
			return "", false
		}
		why = fmt.Sprintf("%s: kept for %d months, until %s (%s)", kind, period.Months, until.Format(time.DateOnly), period.Reason)
	}
	return why, why != ""
}

func (r Retention) of(kind string) (Period, bool) {
	for _, p := range r.Periods {
		if p.Kind == kind {
			return p, true
		}
	}
	return Period{}, false
}

// kindsOf are the kinds that a visit is of.
func kindsOf(v Visit) []string {
	judged, ok := v.Verdict()
	if !ok {
		return []string{"not-judged"}
	}
	kinds := []string{"accepted"}
	if judged.Acceptance != verdict.Accepted {
		kinds[0] = "not-accepted"
	}
	if judged.Serviceability == verdict.Unserviceable {
		kinds = append(kinds, "unserviceable")
	}
	return kinds
}
