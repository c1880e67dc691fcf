package publish

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Approval is what people decided about a draft that is to be released. All of it
// must be there. Days are written YYYY-MM-DD.
type Approval struct {
	From       string // first local day on which it is to be in force
	Author     string // who made the change, a role id
	ApprovedBy string // who authorised it: another
	Told       string // who was told or trained
	Reason     string // why it was changed
	Note       string // what changed
	Today      string // the day on which it is approved
}

// trimmed is the approval with each text on one line.
func (a Approval) trimmed() Approval {
	for _, text := range []*string{&a.From, &a.Author, &a.ApprovedBy, &a.Told, &a.Reason, &a.Note, &a.Today} {
		*text = strings.Join(strings.Fields(*text), " ")
	}
	return a
}

// check says all that is wrong with the approval by itself.
func (a Approval) check(doing string) error {
	var wrong []error
	add := func(mend, why string, args ...any) {
		wrong = append(wrong, &Misuse{What: doing, Why: fmt.Sprintf(why, args...), Mend: mend})
	}
	for _, text := range []struct{ value, why, mend string }{
		{a.Author, "nobody is named as its author", "say who made the change"},
		{a.ApprovedBy, "nobody is named who approved it", "say who authorised the change, who is not its author"},
		{a.Told, "nobody is named who was told of it", "say who was told or trained"},
		{a.Reason, "there is no reason for it", "say why the rules are changed"},
		{a.Note, "there is no note of what changed", "say what changed, in a line"},
	} {
		if text.value == "" {
			add(text.mend, "%s", text.why)
		}
	}
	if a.Author != "" && strings.EqualFold(a.Author, a.ApprovedBy) {
		add("have it approved by somebody else", "%s wrote it and cannot approve it too", a.Author)
	}
	for _, day := range []string{a.From, a.Today} {
		if _, err := time.Parse(time.DateOnly, day); err != nil {
			add("write it as 2026-05-04", "%q is no day", day)
		}
	}
	return errors.Join(wrong...)
}

// checkDay holds the day of a version against those of the others. What was judged
// stays judged: no day that has begun gets other rules, and every release that was
// announced comes into force.
func (a Approval) checkDay(releases *ruleset.Releases, version, doing string) error {
	wrong := func(mend, why string, args ...any) error {
		return &Misuse{What: doing, Why: fmt.Sprintf(why, args...), Mend: mend}
	}
	for _, e := range releases.All() {
		if e.State != ruleset.Released || e.Version == version {
			continue
		}
		switch {
		case a.From == e.From && older(e.Version, version):
			return wrong("give a later day, or withdraw "+e.Version, "%s is the day from which %s is in force; it would then be in force on no day", a.From, e.Version)
		case a.From < e.From && older(e.Version, version):
			return wrong("give that day or a later one, or withdraw "+e.Version, "%s lies before %s, the day from which %s is in force; %s would then be in force on no day", a.From, e.From, e.Version, e.Version)
		case e.From <= a.From && older(version, e.Version):
			return wrong("draft a version after "+e.Version, "%s is in force from %s on, and is the higher version; %s would be in force on no day", e.Version, e.From, version)
		}
	}
	if a.From > a.Today {
		return nil
	}
	// Before there were rules nobody was judged by any.
	if before, err := releases.InForce(a.Today); err == nil {
		return wrong("give a day after "+a.Today, "%s has begun, and visits of that day are judged by %s", a.From, before.Version)
	}
	return nil
}
