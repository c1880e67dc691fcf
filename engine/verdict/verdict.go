// Package verdict is the document that a judged visit ends in: what was judged,
// by which release, the answers, and every outcome with its reason. It is the
// only package that reports read.
//
// Start at [Verdict]; [Encode] writes it as canonical JSON (RFC 8785) and
// [Decode] reads a saved one back. The package judges nothing: acceptance,
// serviceability and counts are computed once, by package judge, and are only
// carried here. It holds no clock, host name or random number, so the same visit
// under the same release has the same bytes on any day.
package verdict

// Version is what [Verdict.Schema] says in a verdict of this package.
const Version = "verdict/1"

// Verdict is one judged visit.
type Verdict struct {
	// Schema is [Version].
	Schema string `json:"schema"`
	// Visit says what was judged.
	Visit Visit `json:"visit"`
	// Received is when the record was received, as handed in (RFC 3339);
	// empty when nobody said.
	Received string `json:"received,omitempty"`
	// Earlier lists the earlier visits that were compared with, by slot.
	Earlier []Earlier `json:"earlier"`
	// Release says what it was judged by.
	Release Release `json:"release"`
	// Acceptance answers for the visit: was it done as it must be?
	Acceptance Acceptance `json:"acceptance"`
	// Serviceability answers for the machine: in what state was it left?
	Serviceability Serviceability `json:"serviceability"`
	// Completion says how much of the service was done; it alone moves the
	// next due date.
	Completion Completion `json:"completion"`
	// Cause says whose the missing part is; empty when nothing is missing.
	Cause Cause `json:"cause,omitempty"`
	// NeedsAttention is true when the visit is not accepted or the machine is
	// not serviceable.
	NeedsAttention bool `json:"needs_attention"`
	// Counts are over all outcomes.
	Counts Counts `json:"counts"`
	// Tags hang on the machine after this visit, sorted by number.
	Tags []Tag `json:"tags"`
	// Restrictions stand after this visit, sorted by id.
	Restrictions []Restriction `json:"restrictions"`
	// Outcomes are sorted by rule, then by subject in reading order.
	Outcomes []Outcome `json:"outcomes"`
	// Ignored lists concessions for this machine that were not applied, and why.
	Ignored []Ignored `json:"ignored"`
}

// Visit identifies the record that was judged, in the record's own words.
type Visit struct {
	ID      string `json:"id"`
	Kind    string `json:"kind"`
	Level   string `json:"level"`
	Site    string `json:"site"`
	Serial  string `json:"serial"`
	Class   string `json:"class"`
	Started string `json:"started"`
	Ended   string `json:"ended"`
	EndedAs string `json:"ended_as"`
	// Digest is sha256 over the bytes of the record as handed in.
	Digest string `json:"digest"`
}

// Earlier is one earlier visit that this one was compared with.
type Earlier struct {
	// Slot says what it was wanted for: last_visit, last_service, meters or
	// battery.
	Slot string `json:"slot"`
	// Level is the service level, in slot last_service alone.
	Level string `json:"level,omitempty"`
	// Visit is its id.
	Visit string `json:"visit"`
	// Digest is sha256 over its bytes as handed in.
	Digest string `json:"digest"`
}

// Release identifies the rule set.
type Release struct {
	// Version is its semantic version.
	Version string `json:"version"`
	// Digest is the h1: directory hash of its folder.
	Digest string `json:"digest"`
}

// Acceptance is the answer for the visit.
type Acceptance struct {
	// Value is accepted, rejected or incomplete.
	Value AcceptanceValue `json:"value"`
	// Remarks is true where an accepted visit has a minor finding standing.
	Remarks bool `json:"remarks"`
	// Concession is true where an accepted visit rests on a concession.
	Concession bool `json:"concession"`
}

// Tag hangs on the machine after the visit.
type Tag struct {
	Tag string `json:"tag"`
	// PlacedIn is the id of the visit that put it on.
	PlacedIn string `json:"placed_in"`
}

// Restriction says what must not be done with the machine, and until when.
type Restriction struct {
	ID string `json:"id"`
	// NotToDo is the text of the record.
	NotToDo string `json:"not_to_do"`
	// Until is the last day that it holds (year-month-day).
	Until string `json:"until"`
	// PlacedIn is the id of the visit that placed it.
	PlacedIn string `json:"placed_in"`
	// Expired is true when Until was past on the local day this visit started.
	Expired bool `json:"expired"`
}

// Ignored is a concession for this machine that was not applied.
type Ignored struct {
	ID  string `json:"id"`
	Why string `json:"why"`
}

// Outcome is what one rule says of one subject.
type Outcome struct {
	// Rule is the rule's name, <concern>.<area>.<name>.
	Rule string `json:"rule"`
	// Subject is what was judged, e.g. "cell B1.2".
	Subject string `json:"subject"`
	// Concern is the first part of the rule's name.
	Concern Concern `json:"concern"`
	// Severity is the rule's, or the subject's own where data grades subjects.
	Severity Severity `json:"severity"`
	// Outcome is the answer.
	Outcome Value `json:"outcome"`
	// Because is set on an indeterminate outcome alone.
	Because Because `json:"because,omitempty"`
	// Title is the rule in one line.
	Title string `json:"title"`
	// Pointer is the JSON pointer into the record that the finding turns on;
	// empty where it turns on no one place.
	Pointer string `json:"pointer,omitempty"`
	// Facts are what the finding rests on, sorted by name; given for
	// nonconforming and indeterminate outcomes.
	Facts []Fact `json:"facts,omitempty"`
	// Statement is the finding in one sentence.
	Statement string `json:"statement"`
	// Why says why the rule matters; given for findings.
	Why string `json:"why,omitempty"`
	// Remedy says what to do; given for findings.
	Remedy string `json:"remedy,omitempty"`
	// Who may do it: technician, specialist, electrician, customer or lead.
	Who string `json:"who,omitempty"`
	// Cautions come before the remedy.
	Cautions []string `json:"cautions,omitempty"`
	// Concession says who may concede it: never, lead or lead-and-customer;
	// given for findings.
	Concession string `json:"concession,omitempty"`
	// ConcededBy is the id of the concession that was applied. The outcome
	// stays what it is.
	ConcededBy string `json:"conceded_by,omitempty"`
}

// Finding reports whether somebody must look at the outcome: it is
// nonconforming or indeterminate.
func (o Outcome) Finding() bool {
	return o.Outcome == Nonconforming || o.Outcome == Indeterminate
}

// Fact is one thing that a finding rests on.
type Fact struct {
	// Name is what the rule calls it.
	Name string `json:"name"`
	// Text is the fact as printed, with unit.
	Text string `json:"text"`
	// Value is the number or word as written in the record or the limits file,
	// without unit; a string, so that 1.260 keeps its last place.
	Value string `json:"value,omitempty"`
	// Unit is the unit's code.
	Unit string `json:"unit,omitempty"`
	// Pointer leads into the record, or into the earlier visit that Earlier names.
	Pointer string `json:"pointer,omitempty"`
	// Earlier is the slot of the earlier visit it was read from.
	Earlier string `json:"earlier,omitempty"`
	// Limit is the name of the limit, with the bound: "battery.spread max".
	Limit string `json:"limit,omitempty"`
	// Source is where the limit comes from.
	Source string `json:"source,omitempty"`
	// Mark says how far the source goes: published, published-elsewhere,
	// common practice or from memory.
	Mark string `json:"mark,omitempty"`
}
