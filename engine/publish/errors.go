package publish

import (
	"fmt"
	"strings"
)

// Misuse is the error for what was asked for wrongly: nothing is at fault with
// the folder, and nothing was written.
type Misuse struct {
	What string // what was attempted
	Why  string
	Mend string
}

// Error says what cannot be asked for, and what would mend it.
func (m *Misuse) Error() string {
	return fmt.Sprintf("%s: %s\n    mend: %s", m.What, m.Why, m.Mend)
}

// Refusal is the error for a draft that is not ready to be released. Nothing was
// written but the catalogue of the draft.
type Refusal struct {
	Version  string
	Findings []Finding
}

// Finding is one thing that stands in the way of a release.
type Finding struct {
	Check string // name of the check that found it
	What  string // may have several lines
	Mend  string // may be empty
}

// Error says what is refused, and every reason.
func (r *Refusal) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "releasing %s: it is not ready", r.Version)
	for _, o := range r.Findings {
		fmt.Fprintf(&b, "\n%s: %s", o.Check, o.What)
		if o.Mend != "" {
			fmt.Fprintf(&b, "\n    mend: %s", o.Mend)
		}
	}
	return b.String()
}
