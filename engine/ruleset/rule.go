package ruleset

import "slices"

// The concerns: the first part of every rule's name, and the folders that hold
// rules.
const (
	Procedure = "procedure" // was the visit done as it must be?
	Condition = "condition" // what state is the machine in?
	Programme = "programme" // is the service plan kept?
)

// The sets and partial objects that make up a rule's contract.
const (
	Subjects      = "subjects"
	Spared        = "spared"
	Conforming    = "conforming"
	Nonconforming = "nonconforming"
	TooClose      = "too_close"
	NotPossible   = "not_possible"
	Facts         = "facts"
	Severity      = "severity"
)

// CommonPractice is the basis of a rule that rests on no published source.
const CommonPractice = "common practice"

// Source is a published source that a rule rests on.
type Source struct {
	Ref         string `json:"ref"`
	Description string `json:"description"`
}

// Rule is what a rule says about itself: the texts and gradings of its
// metadata, as the catalogue holds them.
type Rule struct {
	Name         string   `json:"name"`    // condition.battery.full_charge_gravity
	Concern      string   `json:"concern"` // first part of the name
	Area         string   `json:"area"`    // second part of the name
	Title        string   `json:"title"`
	Description  string   `json:"description"`
	Sources      []Source `json:"sources"`
	Basis        string   `json:"basis"`    // CommonPractice where there are no sources, else ""
	Severity     string   `json:"severity"` // critical, major or minor
	Says         string   `json:"says"`     // statement of a nonconforming subject
	Needs        string   `json:"needs"`    // statement of an indeterminate one
	NeedsState   string   `json:"needs_state"`
	NeedsLimit   string   `json:"needs_limit"`
	Remedy       string   `json:"remedy"`
	Who          string   `json:"who"`
	Concession   string   `json:"concession"` // never, lead or lead-and-customer
	Cautions     []string `json:"cautions"`
	Since        string   `json:"since"` // first record schema that has the rule's fields
	definedNames []string
}

// Defines reports whether the rule has the given part of the contract, one of
// Subjects, Spared, Conforming, Nonconforming, TooClose, NotPossible, Facts,
// Severity. The first four are there in every loaded rule.
func (r Rule) Defines(part string) bool { return slices.Contains(r.definedNames, part) }
