package publish

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Withdraw takes a release out of force, for a reason. Its folder stays, so that
// what was judged by it can be judged so again. Today is the day, YYYY-MM-DD. An
// error of type [*Misuse] says what was asked for wrongly.
func (f *Folder) Withdraw(version, reason, today string) (entry ruleset.Release, err error) {
	doing := "withdrawing " + version
	reason = strings.Join(strings.Fields(reason), " ")
	if reason == "" {
		return entry, &Misuse{What: doing, Why: "there is no reason for it", Mend: "say why it is taken out of force"}
	}
	if _, err := time.Parse(time.DateOnly, today); err != nil {
		return entry, &Misuse{What: doing, Why: fmt.Sprintf("%q is no day", today), Mend: "write it as 2026-05-04"}
	}
	releases, err := f.Releases()
	if err != nil {
		return entry, err
	}
	if entry, err = releases.Find(version); err != nil {
		return entry, &Misuse{What: doing, Why: "there is no such release", Mend: "name one of " + versions(releases)}
	}
	if entry.State != ruleset.Released {
		mend := "it is in force nowhere; there is nothing to do"
		return entry, &Misuse{What: doing, Why: "its state is " + entry.State, Mend: mend}
	}
	if _, err := f.digest(entry); err != nil {
		return entry, err
	}
	l, err := f.lock()
	if err != nil {
		return entry, err
	}
	defer func() { err = errors.Join(err, l.unlock()) }()
	entry.State, entry.WithdrawnOn, entry.WithdrawnBecause = ruleset.Withdrawn, today, reason
	return entry, l.set(entry)
}
