package verdict

// Counts counts outcomes. Each outcome is counted in exactly one of the four
// values; Conceded counts those nonconforming ones that a concession covers.
type Counts struct {
	Conforming    int        `json:"conforming"`
	Nonconforming BySeverity `json:"nonconforming"`
	Indeterminate ByReason   `json:"indeterminate"`
	NotApplicable int        `json:"not_applicable"`
	Conceded      int        `json:"conceded"`
}

// BySeverity counts nonconforming outcomes.
type BySeverity struct {
	Critical int `json:"critical"`
	Major    int `json:"major"`
	Minor    int `json:"minor"`
}

// Total is the sum over the severities.
func (b BySeverity) Total() int { return b.Critical + b.Major + b.Minor }

// ByReason counts indeterminate outcomes.
type ByReason struct {
	Evidence int `json:"evidence"`
	Limit    int `json:"limit"`
	State    int `json:"state"`
}

// Total is the sum over the reasons.
func (b ByReason) Total() int { return b.Evidence + b.Limit + b.State }

// Count counts outcomes.
func Count(outcomes []Outcome) Counts {
	var c Counts
	for _, o := range outcomes {
		switch o.Outcome {
		case Conforming:
			c.Conforming++
		case NotApplicable:
			c.NotApplicable++
		case Nonconforming:
			switch o.Severity {
			case Critical:
				c.Nonconforming.Critical++
			case Major:
				c.Nonconforming.Major++
			default:
				c.Nonconforming.Minor++
			}
			if o.ConcededBy != "" {
				c.Conceded++
			}
		case Indeterminate:
			switch o.Because {
			case Limit:
				c.Indeterminate.Limit++
			case State:
				c.Indeterminate.State++
			default:
				c.Indeterminate.Evidence++
			}
		}
	}
	return c
}
