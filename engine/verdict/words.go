package verdict

// AcceptanceValue is the answer for a visit.
type AcceptanceValue string

// The three answers for a visit.
const (
	Accepted   AcceptanceValue = "accepted"
	Rejected   AcceptanceValue = "rejected"
	Incomplete AcceptanceValue = "incomplete"
)

// Serviceability is the answer for a machine.
type Serviceability string

// The four answers for a machine, best first.
const (
	Serviceable   Serviceability = "serviceable"
	Restricted    Serviceability = "restricted"
	Undetermined  Serviceability = "undetermined"
	Unserviceable Serviceability = "unserviceable"
)

// Completion says how much of a service was done.
type Completion string

// The four degrees of completion.
const (
	Full    Completion = "full"
	Partial Completion = "partial"
	Stopped Completion = "stopped"
	None    Completion = "none"
)

// Cause says whose the missing part of a service is.
type Cause string

// The causes; empty when nothing is missing.
const (
	NoCause         Cause = ""
	CauseTechnician Cause = "technician"
	CauseSite       Cause = "site"
	CauseHazard     Cause = "hazard"
	CauseParts      Cause = "parts"
)

// Concern is the first part of a rule's name.
type Concern string

// The three concerns. Programme rules change neither answer.
const (
	Procedure Concern = "procedure"
	Condition Concern = "condition"
	Programme Concern = "programme"
)

// Severity grades an outcome, after acceptance sampling by attributes.
type Severity string

// The three severities, gravest first.
const (
	Critical Severity = "critical"
	Major    Severity = "major"
	Minor    Severity = "minor"
)

// Value is what a rule says of a subject.
type Value string

// The four outcomes.
const (
	Conforming    Value = "conforming"
	Nonconforming Value = "nonconforming"
	Indeterminate Value = "indeterminate"
	NotApplicable Value = "not-applicable"
)

// Because says why an outcome is indeterminate.
type Because string

// The three reasons for an indeterminate outcome. Only want of evidence makes a
// visit incomplete.
const (
	// Evidence is missing or unusable.
	Evidence Because = "evidence"
	// Limit: measured, but the uncertainty spans the limit.
	Limit Because = "limit"
	// State: an allowed reason stands in the record.
	State Because = "state"
)
