package replay

import (
	"github.com/visitgauge/visitgauge/engine/turn"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Schema names the form of a [Replay] as JSON.
const Schema = "replay/1"

// WhatIf is what a report of a replay says on every page.
const WhatIf = "This is a what-if and no verdict: it changes nothing that was judged, and is no ground to use a machine or to leave it."

// Replay is what would have been judged differently. As JSON it is the document of
// schema replay/1; lists are never null. "Old" is the side that is held against, "new"
// the release that is asked about.
type Replay struct {
	Schema string `json:"schema"`  // [Schema]
	WhatIf string `json:"what_if"` // [WhatIf]

	New Release `json:"new"`
	// Against is what the old side is, in words: "the release in force on the day", say.
	Against string `json:"against"`
	// Old are the releases of the old side, each with how many visits it judged.
	Old []Used `json:"old"`
	// Selected is which visits were asked about.
	Selected Selection `json:"selected"`

	Visits Visits `json:"visits"`

	// The transitions, those from an answer to the same included, in the order of the
	// answers.
	Acceptance     []Transition `json:"acceptance"`
	Serviceability []Transition `json:"serviceability"`
	Completion     []Transition `json:"completion"`

	// Months are those in which visits started, in order.
	Months []Month `json:"months"`
	// Rules are those of which an outcome differs on any visit, or which could not have
	// been asked on any, by name.
	Rules []RuleChange `json:"rules"`
	// Machines are those whose serviceability differs after any visit, by serial.
	Machines []MachineChange `json:"machines"`
	// Changed are the visits that would have been judged differently, in the order in
	// which they started.
	Changed []Change `json:"changed"`
	// Concessions are those that recorded verdicts of these visits rest on.
	Concessions []Concession `json:"concessions"`
	// NotJudged are the visits that could not be judged on both sides.
	NotJudged []NotJudged `json:"not_judged"`
	// Recorded says whether the recorded verdicts come out again, where that was asked;
	// null where it was not.
	Recorded *Reproduction `json:"recorded"`
}

// Differs tells whether any visit would have been judged differently.
func (r *Replay) Differs() bool { return len(r.Changed) > 0 }

// Release is one release.
type Release struct {
	Name   string `json:"name"`  // version, or the folder as it was named
	State  string `json:"state"` // draft, released or withdrawn; empty for a folder that is not listed
	Digest string `json:"digest"`
}

// Used is a release with how many visits it judged.
type Used struct {
	Release
	Visits int `json:"visits"`
}

// Visits counts the visits that were asked about.
type Visits struct {
	Selected int `json:"selected"`
	Judged   int `json:"judged"` // on both sides
	// Differ counts those with an outcome or answer that differs; Turned those of
	// them of which acceptance, serviceability or completion differs.
	Differ int `json:"differ"`
	Turned int `json:"turned"`
	// NotAsked counts those whose record's schema has no field for one of the rules.
	NotAsked int `json:"could_not_have_been_asked"`
}

// Transition counts the visits that went from one answer to another.
type Transition struct {
	Old   string `json:"old"`
	New   string `json:"new"`
	Count int    `json:"count"`
}

// Month counts the visits that started in a month.
type Month struct {
	Month       string `json:"month"` // year-month
	Visits      int    `json:"visits"`
	OldAccepted int    `json:"old_accepted"`
	NewAccepted int    `json:"new_accepted"`
	Differ      int    `json:"differ"`
	Turned      int    `json:"turned"`
}

// RuleChange is what differs in the outcomes of one rule.
type RuleChange struct {
	Rule     string `json:"rule"`
	Title    string `json:"title"`    // in the new release if it has the rule
	Severity string `json:"severity"` // the same
	// Is says whether the rule is "added", "dropped" or in "both" releases; where old
	// sides are several, of the first in which it differs.
	Is string `json:"is"`
	// Visits counts those with an outcome of the rule that differs and is a finding on
	// one side.
	Visits int `json:"visits"`
	// The outcomes that are nonconforming, conforming or indeterminate on the new side
	// alone, by what they are there. Conforming counts only what was a finding.
	Nonconforming int `json:"newly_nonconforming"`
	Conforming    int `json:"newly_conforming"`
	Indeterminate int `json:"newly_indeterminate"`
	// NotAsked counts the visits whose record's schema has no field for the rule. They
	// count nowhere else.
	NotAsked  int         `json:"could_not_have_been_asked"`
	Direction string      `json:"direction"` // one of those of package turn
	Turned    []turn.Turn `json:"turned"`    // all, findings or not
}

// MachineChange is a machine whose serviceability differs.
type MachineChange struct {
	Serial string `json:"serial"`
	Class  string `json:"class"`
	Site   string `json:"site"`
	// Visits are those after which it differs, in the order in which they started.
	Visits []MachineVisit `json:"visits"`
	// Latest tells whether it differs after the latest of its visits that was judged.
	Latest bool `json:"latest"`
}

// MachineVisit is a visit after which a machine's serviceability differs.
type MachineVisit struct {
	Visit   string                 `json:"visit"`
	Started string                 `json:"started"`
	Old     verdict.Serviceability `json:"old"`
	New     verdict.Serviceability `json:"new"`
}

// Change is a visit that would have been judged differently.
type Change struct {
	Visit   string `json:"visit"`
	Serial  string `json:"serial"`
	Class   string `json:"class"`
	Site    string `json:"site"`
	Started string `json:"started"` // RFC 3339
	Release string `json:"old_release"`
	// Old and New are the answers; they may be the same where only outcomes differ.
	Old Answers `json:"old"`
	New Answers `json:"new"`
	// Outcomes are those that differ and are a finding on one side, by rule and subject.
	Outcomes []OutcomeChange `json:"outcomes"`
	// Concessions are those of the recorded verdict that cover an outcome that is
	// nonconforming on a side.
	Concessions []Conceded `json:"concessions"`
}

// Turned tells whether one of the answers differs.
func (c *Change) Turned() bool { return c.Old != c.New }

// Answers are those of a visit.
type Answers struct {
	Acceptance     verdict.AcceptanceValue `json:"acceptance"`
	Serviceability verdict.Serviceability  `json:"serviceability"`
	Completion     verdict.Completion      `json:"completion"`
}

// OutcomeChange is an outcome that differs; Old or New is null where the rule or the
// subject is not asked about.
type OutcomeChange struct {
	Rule    string `json:"rule"`
	Title   string `json:"title"`
	Subject string `json:"subject"`
	Old     *Said  `json:"old"`
	New     *Said  `json:"new"`
}

// Said is what one side says of a subject.
type Said struct {
	Outcome   verdict.Value    `json:"outcome"`
	Because   verdict.Because  `json:"because,omitempty"`
	Severity  verdict.Severity `json:"severity"`
	Statement string           `json:"statement"`
	Pointer   string           `json:"pointer,omitempty"`
	Facts     []verdict.Fact   `json:"facts,omitempty"`
}

// Answer is the outcome without its words; that of a subject not asked about where
// nothing is said.
func (s *Said) Answer() turn.Answer {
	if s == nil {
		return turn.Answer{}
	}
	return turn.Answer{Outcome: s.Outcome, Because: s.Because, Severity: s.Severity}
}

// Conceded is a concession that covers an outcome.
type Conceded struct {
	ID      string `json:"id"`
	Rule    string `json:"rule"`
	Subject string `json:"subject"`
	// Old and New tell on which side the outcome is nonconforming.
	Old bool `json:"old"`
	New bool `json:"new"`
}

// Concession is one that recorded verdicts rest on.
type Concession struct {
	ID      string `json:"id"`
	Rule    string `json:"rule"`
	Subject string `json:"subject"`
	// Visits counts the recorded verdicts that rest on it. Old and New count those of
	// them in which the outcome it covers is nonconforming on that side.
	Visits int `json:"visits"`
	Old    int `json:"old"`
	New    int `json:"new"`
}

// NotJudged is a visit that could not be judged.
type NotJudged struct {
	Visit string `json:"visit"`
	// Why is one of the words below; What says more.
	Why  Why    `json:"why"`
	What string `json:"what"`
}

// Why is why a visit was not judged.
type Why string

// The reasons.
const (
	Redacted    Why = "redacted"     // its record was taken away
	Unreadable  Why = "unreadable"   // a record of its machine is refused by this program
	NoRelease   Why = "no-release"   // there is no release for the old side
	NeverJudged Why = "never-judged" // there is no recorded verdict to hold against
)
