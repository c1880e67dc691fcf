package judge

import (
	"errors"
	"fmt"

	"github.com/open-policy-agent/opa/v1/topdown"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Fault says that a rule set broke its contract: it gave no answer, two answers,
// an answer about something it was not asked, or failed. The visit was not judged,
// and no other visit should be by these rules.
type Fault struct {
	Rule    string // name of the rule, or of the document below data; may be empty
	Subject string // may be empty
	Message string // what is wrong
	Place   string // file and line, where known
	Err     error  // may be nil
}

// Error is the fault in one line.
func (f *Fault) Error() string {
	s := "faulty rule set"
	if f.Rule != "" {
		s = "faulty rule " + f.Rule
	}
	if f.Place != "" {
		s += " (" + f.Place + ")"
	}
	if f.Subject != "" {
		s += fmt.Sprintf(", subject %q", f.Subject)
	}
	s += ": " + f.Message
	if f.Err != nil {
		s += ": " + f.Err.Error()
	}
	return s
}

// Unwrap gives the error beneath, if there is one.
func (f *Fault) Unwrap() error { return f.Err }

// evaluationFault names the rule in whose file an evaluation failed.
func evaluationFault(set *ruleset.Set, err error) error {
	fault := &Fault{Message: "evaluation failed", Err: err}
	var at *topdown.Error
	if errors.As(err, &at) && at.Location != nil {
		fault.Place = fmt.Sprintf("%s, line %d", at.Location.File, at.Location.Row)
		for _, module := range set.Compiler().Modules {
			if p := module.Package; p.Location != nil && p.Location.File == at.Location.File {
				fault.Rule = p.Path.String()[len("data."):]
			}
		}
	}
	return fault
}
