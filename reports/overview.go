package reports

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// OverviewOptions say what an overview tells. The zero value tells nothing of
// persons.
type OverviewOptions struct {
	// RateByPerson adds, for each person who signed at least twenty visits, how
	// many of them were not accepted, with an interval; in the order of the ids,
	// and without the visits of which the site caused what is missing.
	RateByPerson bool
}

// Overview gathers what a lead wants to know of many visits: which need a person
// first, which rules fail, in what state the machines are. Besides an entry for
// each visit that needs a person its memory grows with machines, rules and persons,
// not with visits.
//
// Add visits in any order, as they come; then ask for it as text or, with a page a
// visit to lead to, as the index of a folder of pages.
type Overview struct {
	opt      OverviewOptions
	tally    verdict.Tally
	first    []needing
	rules    map[string]*ruleCount
	machines map[string]*machine
	persons  map[string]*personCount
	refused  []Refusal
	lastDay  string // the latest day of a visit
	sheets   int    // visits that came with their sheet
}

// NewOverview returns an overview of no visits yet.
func NewOverview(opt OverviewOptions) *Overview {
	return &Overview{opt: opt, rules: map[string]*ruleCount{}, machines: map[string]*machine{}, persons: map[string]*personCount{}}
}

// toldVisit is what a list says of a visit.
type toldVisit struct {
	ID, Page, Day, Machine, Site string
}

// needing is a visit that a person has to look at.
type needing struct {
	toldVisit
	grave                 int
	Accepted, Serviceable string // the two answers
	Gravest               string
}

// ruleCount counts the visits that a rule judged.
type ruleCount struct {
	name, title               string
	grave                     int
	judged, failed, undecided int
}

// machine is what its latest visit says of a machine.
type machine struct {
	toldVisit
	started        time.Time
	serviceability verdict.Serviceability
	tags           []verdict.Tag
	restrictions   []verdict.Restriction
	carried        []sheet.Item    // for the third time or more
	services       []sheet.Service // with a day on which they are due
}

// personCount counts the visits that a person signed.
type personCount struct{ visits, notAccepted int }

// carriedOften is from which time on an item that is carried goes to the lead.
const carriedOften = 3

// Add counts a visit. Page is the file that its page stands in, as a link from the
// overview; empty where it has none.
func (o *Overview) Add(v Visit, page string) {
	o.tally.Add(v.Verdict)
	at := toldVisit{ID: v.Visit.ID, Page: page, Day: day(v.Visit.Started), Machine: v.Visit.Serial, Site: v.Visit.Site}
	o.lastDay = max(o.lastDay, at.Day)
	if v.Sheet != nil {
		o.sheets++
	}
	o.countRules(v.Outcomes)
	o.addMachine(at, v)
	o.addPerson(v)
	if v.NeedsAttention || refusedBy(v.Sheet) {
		o.first = append(o.first, needsPerson(at, v))
	}
}

// Refuse counts what could not be judged.
func (o *Overview) Refuse(r Refusal) {
	o.refused = append(o.refused, r)
}

// refusedBy tells whether somebody at the site refused what they were told. The
// lead is told of it the same day.
func refusedBy(s *sheet.Sheet) bool {
	return s != nil && slices.ContainsFunc(s.Visit.Told, func(t sheet.Told) bool { return t.Answer == "refused" })
}

// needsPerson is the entry of a visit, with the gravest of its findings.
func needsPerson(at toldVisit, v Visit) needing {
	n := needing{toldVisit: at, grave: lightest, Accepted: string(v.Acceptance.Value), Serviceable: string(v.Serviceability)}
	if actions := verdict.Actions(v.Outcomes); len(actions) > 0 {
		root := actions[0].Root()
		n.grave = graveness(root)
		n.Gravest = severity(root.Severity) + ", "
		if root.Outcome == verdict.Indeterminate {
			n.Gravest += "could not be judged: "
		} else {
			n.Gravest += "not met: "
		}
		n.Gravest += root.Title
	}
	if refusedBy(v.Sheet) {
		n.Gravest = strings.TrimPrefix(n.Gravest+"; the site refused what it was told", "; ")
	}
	return n
}

// lightest is the graveness of what is no finding.
const lightest = 4

// graveness ranks a finding, the gravest lowest: what is wrong before what could
// not be judged.
func graveness(o verdict.Outcome) int {
	wrong := o.Outcome == verdict.Nonconforming
	switch {
	case !o.Finding() || o.Severity == verdict.Minor || o.ConcededBy != "":
		return lightest
	case o.Severity == verdict.Critical && wrong:
		return 0
	case wrong:
		return 1
	case o.Severity == verdict.Critical:
		return 2
	}
	return 3
}

// countRules counts each rule once a visit: whether it judged anything, whether
// something did not conform, whether something could not be judged.
func (o *Overview) countRules(outcomes []verdict.Outcome) {
	for i := 0; i < len(outcomes); {
		end := i
		judged, failed, undecided, grave := false, false, false, lightest
		for ; end < len(outcomes) && outcomes[end].Rule == outcomes[i].Rule; end++ {
			out := outcomes[end]
			judged = judged || out.Outcome != verdict.NotApplicable
			failed = failed || out.Outcome == verdict.Nonconforming
			undecided = undecided || out.Outcome == verdict.Indeterminate
			grave = min(grave, graveness(out))
		}
		c := o.rules[outcomes[i].Rule]
		if c == nil {
			c = &ruleCount{name: outcomes[i].Rule, grave: lightest}
			o.rules[c.name] = c
		}
		c.title, c.grave = outcomes[i].Title, min(c.grave, grave)
		c.judged += one(judged)
		c.failed += one(failed)
		c.undecided += one(undecided)
		i = end
	}
}

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// addMachine keeps what the latest visit says. Of two that began at the same
// moment the one handed in later counts.
func (o *Overview) addMachine(at toldVisit, v Visit) {
	started, err := time.Parse(time.RFC3339, v.Visit.Started)
	if err != nil {
		started = time.Time{} // a verdict of another making; it counts as the earliest
	}
	if known := o.machines[at.Machine]; known != nil && started.Before(known.started) {
		return
	}
	m := &machine{toldVisit: at, started: started, serviceability: v.Serviceability, tags: v.Tags, restrictions: v.Restrictions}
	if v.Sheet != nil {
		for _, item := range v.Sheet.Open {
			if item.Carried >= carriedOften {
				m.carried = append(m.carried, item)
			}
		}
		if v.Sheet.Figures != nil {
			for _, s := range v.Sheet.Figures.Services {
				if len(s.Due) > 0 {
					m.services = append(m.services, sheet.Service{Level: s.Level, Due: s.Due})
				}
			}
		}
	}
	o.machines[at.Machine] = m
}

// addPerson counts the visit for who signed it.
func (o *Overview) addPerson(v Visit) {
	if !o.opt.RateByPerson || v.Sheet == nil || v.Cause == verdict.CauseSite {
		return
	}
	by := v.Sheet.Visit.Signatures.Technician.By
	if by == "" {
		return
	}
	c := o.persons[by]
	if c == nil {
		c = &personCount{}
		o.persons[by] = c
	}
	c.visits++
	c.notAccepted += one(v.Acceptance.Value != verdict.Accepted)
}

// sortedFirst are the visits that need a person, gravest first, of equal ones the
// oldest.
func (o *Overview) sortedFirst() []needing {
	slices.SortStableFunc(o.first, func(a, b needing) int {
		return cmp.Or(cmp.Compare(a.grave, b.grave), strings.Compare(a.Day, b.Day), verdict.CompareSubjects(a.ID, b.ID))
	})
	return o.first
}

// failing are the rules that were not met, most often first.
func (o *Overview) failing() []*ruleCount {
	var out []*ruleCount
	for _, c := range o.rules {
		if c.failed > 0 {
			out = append(out, c)
		}
	}
	slices.SortFunc(out, func(a, b *ruleCount) int {
		return cmp.Or(cmp.Compare(b.failed, a.failed), cmp.Compare(a.grave, b.grave), strings.Compare(a.name, b.name))
	})
	return out
}

// states are the answers for a machine in the order in which they are listed.
var states = []verdict.Serviceability{verdict.Unserviceable, verdict.Undetermined, verdict.Restricted, verdict.Serviceable}

// byState are the machines, those not to be used first.
func (o *Overview) byState() []*machine {
	var out []*machine
	for _, m := range o.machines {
		out = append(out, m)
	}
	slices.SortFunc(out, func(a, b *machine) int {
		return cmp.Or(
			cmp.Compare(slices.Index(states, a.serviceability), slices.Index(states, b.serviceability)),
			verdict.CompareSubjects(a.Machine, b.Machine),
		)
	})
	return out
}
