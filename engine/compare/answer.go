package compare

import (
	"github.com/visitgauge/visitgauge/engine/turn"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// standing is how an outcome bears on the answer that its concern gives, as
// engine/judge draws it: the higher, the worse. Rules of the service plan bear on
// none, and minor outcomes do not.
//
//	procedure  1 incomplete, 2 rejected
//	condition  1 restricted or undetermined as it is followed up or not,
//	           2 undetermined, 3 unserviceable
func standing(a turn.Answer, concern verdict.Concern) int {
	if a.Severity == verdict.Minor {
		return 0
	}
	switch {
	case concern == verdict.Procedure && a.Outcome == verdict.Nonconforming:
		return 2
	case concern == verdict.Procedure && a.Outcome == verdict.Indeterminate && a.Because == verdict.Evidence:
		return 1
	case concern == verdict.Condition && a.Outcome == verdict.Nonconforming && a.Severity == verdict.Critical:
		return 3
	case concern == verdict.Condition && a.Outcome == verdict.Nonconforming:
		return 1
	case concern == verdict.Condition && a.Outcome == verdict.Indeterminate:
		return 2
	}
	return 0
}

// breaks tells whether the turn from a to b may turn an accepted visit into one
// that is not, a serviceable machine into one that is not, or a restricted one into
// one that may not be used.
func breaks(concern verdict.Concern, a, b turn.Answer) bool {
	before, after := standing(a, concern), standing(b, concern)
	return before == 0 && after > 0 || concern == verdict.Condition && before == 1 && after > 1
}
