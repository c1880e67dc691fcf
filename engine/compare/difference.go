package compare

import (
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/turn"
)

// Schema names the form of a [Difference] as JSON.
const Schema = "rules-difference/1"

// Difference is what differs between two releases. As JSON it is the document of
// schema rules-difference/1; lists are sorted by name, or by path, and are never
// null. Values are text as they stand in the release.
type Difference struct {
	Schema string  `json:"schema"` // [Schema]
	Old    Edition `json:"old"`
	New    Edition `json:"new"`

	// Level is how large the change is: none, patch, minor or major; Because has
	// every reason for it, and reasons of lower levels too.
	Level   Level    `json:"level"`
	Because []Reason `json:"because"`

	Added   []ruleset.Rule `json:"rules_added"`
	Dropped []ruleset.Rule `json:"rules_dropped"`
	Changed []RuleChange   `json:"rules_changed"`

	Limits  []Item `json:"limits"`  // path under limits, such as battery.full_charge_gravity
	Steps   []Item `json:"steps"`   // step
	Classes []Item `json:"classes"` // class
	Units   []Item `json:"units"`   // code

	// Shared are the helpers that differ, such as shared.battery.full_limit.
	Shared []Item `json:"shared"`

	Examples ExampleCount `json:"examples"`
	Tried    Tried        `json:"tried"`
	// Visits is what came of visits that were given; null if none were.
	Visits *Visits `json:"visits"`
}

// Differs tells whether anything differs in meaning, examples included.
func (d *Difference) Differs() bool {
	return d.Level != None || d.Examples.Added+d.Examples.Dropped+d.Examples.Changed > 0
}

// Edition is one of the two releases.
type Edition struct {
	Name     string `json:"name"`  // version, or the folder as it was named
	State    string `json:"state"` // draft, released or withdrawn; empty for a folder that is not listed
	From     string `json:"from"`  // first day in force, YYYY-MM-DD; empty if none is known
	Digest   string `json:"digest"`
	Rules    int    `json:"rules"`
	Examples int    `json:"examples"`
	Note     string `json:"note"`
	Reason   string `json:"reason"`
}

// RuleChange is a rule that both releases have and that differs.
type RuleChange struct {
	Name     string `json:"name"`
	Title    string `json:"title"`    // in the new release
	Severity string `json:"severity"` // in the new release
	// Kinds are how it differs itself: wording, severity, concession, who, since,
	// facts (what its texts are filled with) and logic. Empty if only what it reads
	// differs.
	Kinds []string `json:"kinds"`
	// Fields are the fields of its metadata that differ.
	Fields []Field `json:"fields"`
	// Parts are the parts of its Rego that differ, such as conforming.
	Parts []string `json:"parts"`
	// Reads is what differs of what it reads: limits, helpers, other rules.
	Reads []string `json:"reads"`
	// Effect is what its examples say of it.
	Effect Effect `json:"effect"`
}

// Field is one value that differs; Old is empty where it was added, New where it
// was dropped.
type Field struct {
	Field string `json:"field"`
	Old   string `json:"old"`
	New   string `json:"new"`
}

// Item is a limit, step, class, unit or helper that differs.
type Item struct {
	Name string `json:"name"`
	// Change is added, dropped, changed or wording (texts for people alone).
	Change string `json:"change"`
	// Title is what it is, in the new release if it is there.
	Title string `json:"title"`
	// Unit is that of a limit, in the new release if it is there.
	Unit   string  `json:"unit"`
	Fields []Field `json:"fields"`
	// Rules are the rules that read it by name, directly or by way of helpers; not
	// listed for steps, classes and units, which rules look up by what the record
	// says.
	Rules []string `json:"rules"`
}

// The values of Item.Change.
const (
	Added   = "added"
	Dropped = "dropped"
	Changed = "changed"
	Wording = "wording"
)

// ExampleCount counts the examples that differ, by rule and name.
type ExampleCount struct {
	Added   int `json:"added"`
	Dropped int `json:"dropped"`
	Changed int `json:"changed"`
}

// Effect is what became of outcomes.
type Effect struct {
	Examples int `json:"examples"` // that were put before both releases
	Outcomes int `json:"outcomes"` // that the new release gave for them
	// Direction is one of [turn.Stricter], [turn.Looser], [turn.Both], [turn.Neither],
	// [turn.None].
	Direction string      `json:"direction"`
	Turned    []turn.Turn `json:"turned"`
}

// Tried counts what was put before both releases.
type Tried struct {
	// Rules that differ, or read what does, and Examples of both releases they
	// answered for, each counted once where both releases have it.
	Rules    int `json:"rules"`
	Examples int `json:"examples"`
	Outcomes int `json:"outcomes"`
	Turned   int `json:"turned"`
	// Unbuilt counts the examples that make no visit that could be handed in, and
	// were tried on nothing.
	Unbuilt int `json:"unbuilt"`
	// Same counts the rules that were not tried: neither they nor anything they
	// read differs.
	Same int `json:"same"`
}

// Visits is what became of visits under both releases.
type Visits struct {
	Judged  int           `json:"judged"`
	Refused int           `json:"refused"` // records that are none
	Changed []VisitChange `json:"changed"`
	Turned  []RuleTurn    `json:"turned"`
}

// VisitChange is a visit of which the two answers differ.
type VisitChange struct {
	Visit             string `json:"visit"`
	Machine           string `json:"machine"`
	OldAcceptance     string `json:"old_acceptance"`
	NewAcceptance     string `json:"new_acceptance"`
	OldServiceability string `json:"old_serviceability"`
	NewServiceability string `json:"new_serviceability"`
}

// RuleTurn is what turned in the outcomes of one rule.
type RuleTurn struct {
	Rule string `json:"rule"`
	turn.Turn
}
