package reports

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
	"github.com/visitgauge/visitgauge/reports/internal/rate"
)

// list is one part of an overview.
type list struct {
	ID, Title string
	// Note says what the list counts, or why there is nothing in it.
	Note    string
	Columns []string
	Rows    [][]entry
}

// entry is one place of a row. The first of a row is its head.
type entry struct {
	Text string
	Page string // what it leads to; empty for none
}

// Wide tells whether the text is so long that it takes several lines.
func (e entry) Wide() bool { return len(e.Text) > 32 }

// mostRules is how many of the rules that failed are listed.
const mostRules = 20

// lists are the parts of the overview, in the order of what a lead needs first.
func (o *Overview) lists() []list {
	out := []list{o.firstList(), o.ruleList(), o.machineList(), o.tagList(), o.carriedList(), o.dueList()}
	if o.opt.RateByPerson {
		out = append(out, o.personList())
	}
	return out
}

func (o *Overview) firstList() list {
	l := list{ID: "first", Title: "Visits that need a person first",
		Note:    "Gravest first. A visit is here if it is not accepted, if the machine is not serviceable, or if the site refused what it was told.",
		Columns: []string{"Visit", "Day", "Machine", "Site", "The visit is", "The machine is", "Gravest finding"}}
	for _, n := range o.sortedFirst() {
		l.Rows = append(l.Rows, []entry{n.visit(), {Text: n.Day}, {Text: n.Machine}, {Text: n.Site},
			{Text: n.Accepted}, {Text: n.Serviceable}, {Text: n.Gravest}})
	}
	if len(l.Rows) == 0 {
		l.Note = "No visit needs a person."
	}
	return l
}

func (v toldVisit) visit() entry { return entry{Text: v.ID, Page: v.Page} }

func (o *Overview) ruleList() list {
	l := list{ID: "rules", Title: "Rules that were not met most often",
		Note:    "Counted once a visit, of the visits in which the rule had something to judge.",
		Columns: []string{"Rule", "Not met", "Could not be judged", "Name"}}
	failing := o.failing()
	for _, c := range failing[:min(mostRules, len(failing))] {
		l.Rows = append(l.Rows, []entry{{Text: c.title}, {Text: fmt.Sprintf("%d of %d", c.failed, c.judged)},
			{Text: fmt.Sprintf("%d of %d", c.undecided, c.judged)}, {Text: c.name}})
	}
	if more := len(failing) - mostRules; more > 0 {
		l.Note += " " + lines.Count(more, "more rule was", "more rules were") + " not met, none more often than these."
	}
	if len(l.Rows) == 0 {
		l.Note = "Every rule was met wherever it could be judged."
	}
	return l
}

func (o *Overview) machineList() list {
	count := map[verdict.Serviceability]int{}
	l := list{ID: "machines", Title: "Machines, by their latest visit here",
		Columns: []string{"Machine", "Site", "State", "Latest visit", "What stands"}}
	for _, m := range o.byState() {
		count[m.serviceability]++
		l.Rows = append(l.Rows, []entry{{Text: m.Machine}, {Text: m.Site}, {Text: string(m.serviceability)},
			{Text: m.ID + ", " + m.Day, Page: m.Page}, {Text: m.stands()}})
	}
	var parts []tallied
	for _, s := range states {
		parts = append(parts, tallied{count[s], string(s)})
	}
	l.Note = lines.Count(len(l.Rows), "machine", "machines")
	if len(l.Rows) > 0 {
		l.Note += ": " + counts(parts)
	}
	l.Note += "."
	return l
}

// stands says what was left on a machine.
func (m *machine) stands() string {
	var parts []string
	for _, t := range m.tags {
		parts = append(parts, "tag "+t.Tag)
	}
	for _, r := range m.restrictions {
		until := " until "
		if r.Expired {
			until = ", which ran out on "
		}
		parts = append(parts, "restriction "+r.ID+until+r.Until)
	}
	return strings.Join(parts, "; ")
}

func (o *Overview) tagList() list {
	l := list{ID: "tags", Title: "Tagged machines", Note: "They must not be used until the tag is released with evidence.",
		Columns: []string{"Machine", "Site", "Tag", "Placed in visit", "Latest visit"}}
	for _, m := range o.byState() {
		for _, t := range m.tags {
			l.Rows = append(l.Rows, []entry{{Text: m.Machine}, {Text: m.Site}, {Text: t.Tag}, {Text: t.PlacedIn}, m.visit()})
		}
	}
	if len(l.Rows) == 0 {
		l.Note = "No tag hangs on a machine."
	}
	return l
}

func (o *Overview) carriedList() list {
	l := list{ID: "carried", Title: "Open items carried for the third time or more", Note: "They go to the lead.",
		Columns: []string{"Item", "Machine", "What", "Severity", "Owner", "Due", "Carried", "Latest visit"}}
	for _, m := range o.byState() {
		for _, i := range m.carried {
			l.Rows = append(l.Rows, []entry{{Text: i.Item}, {Text: m.Machine}, {Text: i.What}, {Text: i.Severity}, {Text: i.Owner},
				{Text: i.Due}, {Text: lines.Count(i.Carried, "time", "times")}, m.visit()})
		}
	}
	if len(l.Rows) == 0 {
		l.Note = "No open item was carried so often."
	}
	l.Note += o.withoutRecords()
	return l
}

// withoutRecords says what cannot be told of saved verdicts alone.
func (o *Overview) withoutRecords() string {
	without := o.tally.Visits - o.sheets
	if without == 0 {
		return ""
	}
	return " Of " + lines.Count(without, "visit", "visits") + " the record was not at hand, so this cannot be told of them."
}

func (o *Overview) dueList() list {
	l := list{ID: "due", Title: "Services due", Columns: []string{"Machine", "Site", "Service", "Due", "Latest visit"}}
	for _, m := range o.byState() {
		for _, s := range m.services {
			due := s.Due[0]
			said := due
			if due < o.lastDay {
				said += ", past on " + o.lastDay
			}
			l.Rows = append(l.Rows, []entry{{Text: m.Machine}, {Text: m.Site}, {Text: s.Level}, {Text: said}, m.visit()})
		}
	}
	slices.SortStableFunc(l.Rows, func(a, b []entry) int {
		return cmp.Or(strings.Compare(a[3].Text, b[3].Text), verdict.CompareSubjects(a[0].Text, b[0].Text))
	})
	if l.Note = "The soonest first, each by the machine's own rate of use or by days, whichever is earlier."; len(l.Rows) == 0 {
		l.Note = "No day is known on which a service is due."
	} else if o.lastDay != "" {
		l.Note += " Past is what lay before " + o.lastDay + ", the day of the latest visit here."
	}
	l.Note += o.withoutRecords()
	return l
}

// leastVisits is how many visits a rate must rest on.
const leastVisits = 20

func (o *Overview) personList() list {
	l := list{ID: "persons", Title: "Visits not accepted, by who signed",
		Note: "In the order of the ids, and no ranking: machines and sites differ, and an interval that holds another share says that the two may not differ. " +
			"Visits of which the site caused what is missing are left out. The interval is a 95 % one after Wilson (1927).",
		Columns: []string{"Signed by", "Not accepted", "Share", "Interval"}}
	few := 0
	for _, id := range slices.SortedFunc(maps.Keys(o.persons), verdict.CompareSubjects) {
		c := o.persons[id]
		if c.visits < leastVisits {
			few++
			continue
		}
		low, high := rate.Wilson(c.notAccepted, c.visits)
		l.Rows = append(l.Rows, []entry{{Text: id}, {Text: fmt.Sprintf("%d of %d", c.notAccepted, c.visits)},
			{Text: fmt.Sprintf("%.0f %%", 100*float64(c.notAccepted)/float64(c.visits))}, {Text: fmt.Sprintf("%.0f to %.0f %%", 100*low, 100*high)}})
	}
	if few > 0 {
		l.Note += " " + lines.Count(few, "person", "persons") + fmt.Sprintf(" with fewer than %d visits: no share is given.", leastVisits)
	}
	l.Note += o.withoutRecords()
	return l
}
func (o *Overview) refusedList() list {
	l := list{ID: "refused", Title: "Not judged", Note: "These were refused; nothing is known of them.", Columns: []string{"Place", "What", "Problem", "Mend"}}
	for _, r := range o.refused {
		for _, p := range r.Problems {
			place := p.Source
			if p.Line > 0 {
				place = fmt.Sprintf("%s:%d:%d", place, p.Line, p.Column)
			}
			what := p.Message
			if p.Pointer != "" {
				what = p.Pointer + ": " + what
			}
			l.Rows = append(l.Rows, []entry{{Text: place}, {Text: refusedTitle(r)}, {Text: what}, {Text: p.Mend}})
		}
	}
	return l
}
