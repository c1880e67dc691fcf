package verdict

// Tally counts verdicts by both answers. The zero value is ready for use.
type Tally struct {
	Visits int

	// By acceptance; they add up to Visits.
	Accepted, Rejected, Incomplete int

	// By the state in which the machine was left; they add up to Visits.
	Serviceable, Restricted, Unserviceable, Undetermined int

	// NeedAttention counts visits that are not accepted or left the machine not
	// serviceable.
	NeedAttention int
}

// Add counts one verdict.
func (t *Tally) Add(v *Verdict) {
	t.Visits++
	switch v.Acceptance.Value {
	case Accepted:
		t.Accepted++
	case Rejected:
		t.Rejected++
	default: // what is not known to be accepted or rejected is not complete
		t.Incomplete++
	}
	switch v.Serviceability {
	case Serviceable:
		t.Serviceable++
	case Restricted:
		t.Restricted++
	case Unserviceable:
		t.Unserviceable++
	default: // nor is a machine serviceable on an unknown word
		t.Undetermined++
	}
	if v.NeedsAttention {
		t.NeedAttention++
	}
}
