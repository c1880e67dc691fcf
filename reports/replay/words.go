package replay

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/turn"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// caution stands beside machines that would be left in another state.
const caution = "Before anything is done about a machine that would have been left in another state, somebody qualified looks at the machine itself. " +
	"Local codes and the manuals of machine, battery and charger come first."

// hindsight stands where a rule about the work is among those that differ.
const hindsight = "What the rules of the day did not ask for could not be answered: where a stricter condition makes a fault of procedure, " +
	"as a defect that nobody followed up, it is none of whoever made the visit."

// aboutWork tells whether a rule about the work has newly nonconforming outcomes.
func aboutWork(rules []replay.RuleChange) bool {
	return slices.ContainsFunc(rules, func(c replay.RuleChange) bool {
		return strings.HasPrefix(c.Rule, ruleset.Procedure+".") && c.Nonconforming+c.Indeterminate > 0
	})
}

// noConcession says what became of concessions.
const noConcession = "A concession was granted under the rules of its day. It is applied on neither side; here is where it covers an outcome."

// notAsked says what a rule that could not have been asked means.
const notAsked = "Records of an older schema have no field for these rules. They could not have been asked, and it counts for nothing else."

// most is how many visits are told one by one, where there are more; the rest are in
// the table and the document.
const (
	mostInText = 50
	mostOnPage = 200
)

// told are the visits that are told one by one: those of which an answer turned
// first, each in the order in which they started. More counts the others.
func told(r *replay.Replay, most int) (changes []replay.Change, more int) {
	changes = slices.Clone(r.Changed)
	slices.SortStableFunc(changes, func(a, b replay.Change) int { return boolean(b.Turned()) - boolean(a.Turned()) })
	if len(changes) > most {
		return changes[:most], len(changes) - most
	}
	return changes, 0
}

func boolean(is bool) int {
	if is {
		return 1
	}
	return 0
}

// first are the first of a list that may be long. More says how many others there are
// and where they are written; it is empty where all are there.
func first[T any](list []T, most int) (kept []T, more string) {
	if n := len(list) - most; n > 0 {
		return list[:most], fmt.Sprintf("%d more: as json all of them are written.", n)
	}
	return list, ""
}

// moreVisits says where visits are that are not told one by one.
func moreVisits(more int) string {
	return fmt.Sprintf("%s: as csv and json all of them are written.", lines.Count(more, "more visit is not told here", "more visits are not told here"))
}

// title is what the page is about.
func title(r *replay.Replay) string {
	return fmt.Sprintf("What if: %s under %s", lines.Count(r.Visits.Judged, "visit", "visits"), r.New.Name)
}

// standing says what a release is.
func standing(r replay.Release) string {
	text := r.Name + ", a folder that no list of releases has"
	switch r.State {
	case ruleset.Draft:
		text = r.Name + ", a draft"
	case ruleset.Released:
		text = r.Name + ", released"
	case ruleset.Withdrawn:
		text = r.Name + ", withdrawn"
	}
	return text + " (" + r.Digest + ")"
}

// used lists releases with how many visits each judged.
func used(list []replay.Used) string {
	var out []string
	for _, u := range list {
		out = append(out, fmt.Sprintf("%s: %s", standing(u.Release), lines.Count(u.Visits, "visit", "visits")))
	}
	return strings.Join(out, "; ")
}

// selected says which visits were asked about.
func selected(s replay.Selection) string {
	var out []string
	add := func(what string, words []string) {
		if len(words) > 0 {
			out = append(out, what+" "+strings.Join(words, ", "))
		}
	}
	switch {
	case s.From != "" && s.To != "":
		out = append(out, "started from "+s.From+" to "+s.To)
	case s.From != "":
		out = append(out, "started on "+s.From+" or later")
	case s.To != "":
		out = append(out, "started on "+s.To+" or earlier")
	}
	add("site", s.Sites)
	add("machine", s.Serials)
	add("class", s.Classes)
	add("judged by", s.Releases)
	add("read with instrument", s.Instruments)
	return cmp.Or(strings.Join(out, "; "), "all")
}

// summary says in a sentence or two how much differs.
func summary(r *replay.Replay) string {
	v := r.Visits
	if v.Judged == 0 {
		return "No visit was judged."
	}
	if v.Differ == 0 {
		return fmt.Sprintf("Nothing would have been judged differently: %s on both sides.", lines.Count(v.Judged, "visit came out the same", "visits came out the same"))
	}
	text := fmt.Sprintf("%d of %s would have been judged differently. ", v.Differ, lines.Count(v.Judged, "visit", "visits"))
	if v.Turned == 0 {
		return text + "No answer turns by it: single outcomes differ."
	}
	text += fmt.Sprintf("Of %d of them an answer turns", v.Turned)
	if rest := v.Differ - v.Turned; rest > 0 {
		text += fmt.Sprintf("; of %d only outcomes differ", rest)
	}
	return text + "."
}

// directions are the words for how a rule's outcomes turned.
var directions = map[string]string{
	turn.Stricter: "stricter", turn.Looser: "looser", turn.Both: "stricter here, looser there", turn.Neither: "neither stricter nor looser", turn.None: "",
}

// changed says what differs of a rule.
func changed(c replay.RuleChange) string {
	out := []string{c.Severity}
	if c.Is != "both" {
		out = append(out, c.Is)
	}
	for _, n := range []struct {
		count int
		what  string
	}{{c.Nonconforming, "newly nonconforming"}, {c.Indeterminate, "newly indeterminate"}, {c.Conforming, "newly conforming"}} {
		if n.count > 0 {
			out = append(out, fmt.Sprintf("%d %s", n.count, n.what))
		}
	}
	if word := directions[c.Direction]; word != "" && c.Visits > 0 {
		out = append(out, word)
	}
	return strings.Join(out, "; ") + fmt.Sprintf("; on %s", lines.Count(c.Visits, "visit", "visits"))
}

// counted are the rules of which findings differ; others only say that they were
// asked of more or fewer subjects.
func counted(r *replay.Replay) []replay.RuleChange {
	return slices.DeleteFunc(slices.Clone(r.Rules), func(c replay.RuleChange) bool { return c.Visits == 0 })
}

// unasked are the rules that could not have been asked of some visit.
func unasked(r *replay.Replay) []replay.RuleChange {
	return slices.DeleteFunc(slices.Clone(r.Rules), func(c replay.RuleChange) bool { return c.NotAsked == 0 })
}

// answers says the answers of a visit on both sides.
func answers(c replay.Change) string {
	old := fmt.Sprintf("%s, %s, %s", c.Old.Acceptance, c.Old.Serviceability, completed(c.Old.Completion))
	if !c.Turned() {
		return old + " on both sides"
	}
	return old + " → " + fmt.Sprintf("%s, %s, %s", c.New.Acceptance, c.New.Serviceability, completed(c.New.Completion))
}

func completed(c verdict.Completion) string { return "service " + string(c) }

// covers says what a concession covers, and on which side.
func covers(c replay.Conceded) string {
	side := "on neither side, where nothing is nonconforming"
	switch {
	case c.Old && c.New:
		side = "on both sides"
	case c.Old:
		side = "on the old side alone"
	case c.New:
		side = "on the new side alone"
	}
	return fmt.Sprintf("%s covers %s of %s, nonconforming %s", c.ID, c.Rule, c.Subject, side)
}

// conceded says what a concession comes to over all visits.
func conceded(c replay.Concession) string {
	return fmt.Sprintf("%s covers %s of %s in %s; nonconforming in %d as judged, and in %d under the other rules",
		c.ID, c.Rule, c.Subject, lines.Count(c.Visits, "recorded verdict", "recorded verdicts"), c.Old, c.New)
}

// whys are the words for why a visit was not judged.
var whys = map[replay.Why]string{
	replay.Redacted: "redacted", replay.Unreadable: "a record of its machine is refused", replay.NoRelease: "no release", replay.NeverJudged: "never judged",
}
