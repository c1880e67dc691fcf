package judge

import (
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// accept answers for the visit, from the procedure outcomes alone.
//
//	critical or major nonconforming, not conceded         rejected
//	else critical or major indeterminate for evidence     incomplete
//	else                                                  accepted
//
// An accepted visit has remarks where a minor outcome is nonconforming without a
// concession, or indeterminate for want of evidence.
func accept(outcomes []verdict.Outcome) verdict.Acceptance {
	var rejected, incomplete, remarks, conceded bool
	for _, o := range outcomes {
		if o.Concern != verdict.Procedure {
			continue
		}
		minor := o.Severity == verdict.Minor
		switch {
		case o.Outcome == verdict.Nonconforming && o.ConcededBy != "":
			conceded = true
		case o.Outcome == verdict.Nonconforming && minor:
			remarks = true
		case o.Outcome == verdict.Nonconforming:
			rejected = true
		case o.Outcome == verdict.Indeterminate && o.Because == verdict.Evidence && minor:
			remarks = true
		case o.Outcome == verdict.Indeterminate && o.Because == verdict.Evidence:
			incomplete = true
		}
	}
	switch {
	case rejected:
		return verdict.Acceptance{Value: verdict.Rejected}
	case incomplete:
		return verdict.Acceptance{Value: verdict.Incomplete}
	}
	return verdict.Acceptance{Value: verdict.Accepted, Remarks: remarks, Concession: conceded}
}

// machineState is what serviceability is answered from, besides the outcomes.
type machineState struct {
	followedUp   map[string]bool // subjects that a follow-up answers
	tags         []verdict.Tag
	restrictions []verdict.Restriction
	completion   verdict.Completion
	endedAs      string
}

// serviceability answers for the machine, from the condition outcomes as left and
// what stands open on it. The worst line wins:
//
//	critical nonconforming, an open tag, an expired restriction    unserviceable
//	critical or major indeterminate                                undetermined
//	major nonconforming, neither followed up nor conceded          undetermined
//	the visit ended otherwise than completed, or its service
//	was neither full nor partial                                   undetermined
//	major nonconforming, followed up                               restricted
//	nonconforming of any severity, conceded                        restricted
//	a restriction in force                                         restricted
//	else                                                           serviceable
//
// How the visit ended is asked here although rules answer for it too: a machine
// is never serviceable on the word of a visit that was broken off.
func serviceability(outcomes []verdict.Outcome, m machineState) verdict.Serviceability {
	unserviceable := len(m.tags) > 0
	undetermined := m.endedAs != "completed" || m.completion != verdict.Full && m.completion != verdict.Partial
	restricted := false
	for _, r := range m.restrictions {
		restricted = true
		if r.Expired {
			unserviceable = true
		}
	}
	for _, o := range outcomes {
		if o.Concern != verdict.Condition {
			continue
		}
		switch {
		case o.ConcededBy != "":
			restricted = true
		case o.Severity == verdict.Minor:
		case o.Outcome == verdict.Indeterminate:
			undetermined = true
		case o.Outcome != verdict.Nonconforming:
		case o.Severity == verdict.Critical:
			unserviceable = true
		case m.followedUp[o.Subject]:
			restricted = true
		default:
			undetermined = true
		}
	}
	switch {
	case unserviceable:
		return verdict.Unserviceable
	case undetermined:
		return verdict.Undetermined
	case restricted:
		return verdict.Restricted
	}
	return verdict.Serviceable
}
