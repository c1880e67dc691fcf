package reports

import (
	"fmt"
	"strings"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// refusal tells why something could not be judged: where and what in the first
// line, as compilers do, and what would mend it below.
func refusal(r Refusal) string {
	var b strings.Builder
	for _, p := range r.Problems {
		place := p.Source
		if p.Line > 0 {
			place = fmt.Sprintf("%s:%d:%d", place, p.Line, p.Column)
		}
		what := p.Message
		if p.Pointer != "" {
			what = p.Pointer + ": " + what
		}
		if r.Earlier {
			what = "earlier visit: " + what
		}
		// One line, however long, so that it can be searched for and jumped to.
		b.WriteString(lines.Plain(place + ": " + what))
		b.WriteByte('\n')
		if p.Mend != "" {
			lines.Wrap(&b, "  mend: ", "        ", p.Mend)
		}
	}
	return b.String()
}

// refusedTitle says what was refused.
func refusedTitle(r Refusal) string {
	switch {
	case r.Earlier:
		return "Earlier record refused, nothing is compared with it"
	case r.Saved:
		return "Verdict refused"
	}
	return "Record refused"
}

// title says which visit it is, to which machine.
func title(v *verdict.Verdict) string {
	return strings.Join([]string{"Visit", v.Visit.ID + ":", v.Visit.Class, v.Visit.Serial, "at", v.Visit.Site + ",", day(v.Visit.Started)}, " ")
}

// outcomeSaid is a subject, its outcome, and what is said of it if it does not
// conform.
func outcomeSaid(o verdict.Outcome) string {
	said := o.Subject + " " + string(o.Outcome)
	if o.Because != "" {
		said += " (" + string(o.Because) + ")"
	}
	if o.Outcome != verdict.Conforming {
		said += ": " + o.Statement
	}
	return said
}

// summary tells what a run comes to. Both answers are always counted, so that
// good visits to dangerous machines never look as if all were well. That stands in
// the last line, in one however long.
func summary(s Summary) string {
	t := s.Tally
	parts := []string{lines.Count(t.Visits, "visit", "visits")}
	if t.Visits > 0 {
		parts[0] += ": " + counts([]tallied{
			{t.Accepted, "accepted"}, {t.Rejected, "rejected"}, {t.Incomplete, "incomplete"},
		})
		machines := "machine left: "
		if t.Visits > 1 {
			machines = "machines left: "
		}
		parts = append(parts, machines+counts([]tallied{
			{t.Serviceable, "serviceable"}, {t.Restricted, "restricted"},
			{t.Unserviceable, "unserviceable"}, {t.Undetermined, "undetermined"},
		}))
		attention := lines.Count(t.NeedAttention, "needs attention", "need attention")
		if t.NeedAttention == 0 {
			attention = "none needs attention"
		}
		parts = append(parts, attention)
	}
	if s.Refused > 0 {
		parts = append(parts, lines.Count(s.Refused, "record refused", "records refused"))
	}
	if s.RefusedEarlier > 0 {
		parts = append(parts, lines.Count(s.RefusedEarlier, "earlier record refused", "earlier records refused"))
	}
	if s.RefusedSaved > 0 {
		parts = append(parts, lines.Count(s.RefusedSaved, "verdict refused", "verdicts refused"))
	}
	var b strings.Builder
	if s.Stopped != "" {
		lines.Wrap(&b, "", "  ", "Not finished: "+s.Stopped+". What came after it was not judged.")
	}
	b.WriteString(strings.Join(parts, "; ") + "\n")
	return b.String()
}

type tallied struct {
	n    int
	word string
}

// counts lists those that are not zero.
func counts(list []tallied) string {
	var parts []string
	for _, c := range list {
		if c.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", c.n, c.word))
		}
	}
	return strings.Join(parts, ", ")
}

// acceptance is the answer for the visit in plain words.
func acceptance(a verdict.Acceptance) string {
	switch a.Value {
	case verdict.Accepted:
		var with []string
		if a.Remarks {
			with = append(with, "with remarks")
		}
		if a.Concession {
			with = append(with, "by concession")
		}
		if len(with) == 0 {
			return "accepted: it was done as it must be"
		}
		return "accepted " + strings.Join(with, " and ")
	case verdict.Rejected:
		return "rejected: something was not done as it must be"
	}
	return "incomplete: the record does not show that it was done as it must be"
}

// serviceability is the answer for the machine in plain words. What was found
// without defect is never called fit: only what was checked is known.
func serviceability(v *verdict.Verdict) string {
	switch v.Serviceability {
	case verdict.Serviceable:
		return "serviceable: no critical or major defect was found in what was checked on " + day(v.Visit.Started)
	case verdict.Restricted:
		return "restricted: to be used only as said below"
	case verdict.Unserviceable:
		return "unserviceable: not to be used"
	}
	return "undetermined: its state is not known well enough to say"
}

// completion says in plain words how much of the service was done.
func completion(v *verdict.Verdict) string {
	said := map[verdict.Completion]string{
		verdict.Full:    "full: all of it was done",
		verdict.Partial: "partial: not all of it was done",
		verdict.Stopped: "stopped before its end",
		verdict.None:    "none: nothing of it was done",
	}[v.Completion]
	if why, ok := map[verdict.Cause]string{
		verdict.CauseTechnician: "on the technician's side",
		verdict.CauseSite:       "on the site's side",
		verdict.CauseHazard:     "because of a hazard",
		verdict.CauseParts:      "for want of parts",
	}[v.Cause]; ok {
		said += ", " + why
	}
	return said
}

// marks are what hangs on the machine after the visit: its tags and restrictions.
func marks(v *verdict.Verdict) []string {
	var out []string
	for _, tag := range v.Tags {
		out = append(out, "tag "+tag.Tag+" hangs on it, placed in visit "+tag.PlacedIn)
	}
	for _, r := range v.Restrictions {
		until := "until " + r.Until
		if r.Expired {
			until = "expired on " + r.Until
		}
		out = append(out, "restriction "+r.ID+", "+until+": "+r.NotToDo)
	}
	return out
}

// told is what an outcome says, as a sentence that names its subject.
func told(o verdict.Outcome) string {
	said := o.Statement
	if o.Subject != "visit" && !strings.Contains(strings.ToLower(said), strings.ToLower(o.Subject)) {
		said = o.Subject + ": " + said
	}
	return lines.Sentence(said)
}

// answered is an outcome in a few words, with its severity where that counts.
func answered(o verdict.Outcome) string {
	said := string(o.Outcome)
	switch {
	case o.Outcome == verdict.Indeterminate:
		said = severity(o.Severity) + ", could not be decided (" + string(o.Because) + ")"
	case o.ConcededBy != "":
		said = severity(o.Severity) + " nonconforming, stands by concession " + o.ConcededBy
	case o.Outcome == verdict.Nonconforming:
		said = severity(o.Severity) + " nonconforming"
	}
	return said
}

// day is the local day of a time as written.
func day(at string) string { return at[:min(len(at), len("2006-01-02"))] }

// slot says in plain words what an earlier visit was compared for.
func slot(e verdict.Earlier) string {
	switch e.Slot {
	case "last_visit":
		return "the last visit"
	case "last_service":
		return "the last completed service of level " + e.Level
	case "meters":
		return "the last meters read"
	case "battery":
		return "the last battery readings"
	}
	return e.Slot
}
