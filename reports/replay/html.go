package replay

import (
	"bytes"
	_ "embed" // the page
	"fmt"
	"html/template"
	"io"
	"strings"

	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/reports/internal/htmlpage"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

//go:embed what-if.tmpl
var whatIf string

var pageTemplate = template.Must(template.New("what-if").Funcs(template.FuncMap{"style": htmlpage.Style, "margin": margin}).Parse(whatIf))

// margin is what stands at the foot of every printed page: plain CSS of ours, with a
// sentence that no record and no rule has a part in.
func margin() template.CSS { return template.CSS(`"` + replay.WhatIf + `"`) }

// HTML writes a page with pictures: one file that needs nothing else, neither script
// nor network, in light and dark, made to be printed. Text of a record can have no
// effect in it. Of many visits it tells the first, those of which an answer turned
// before the others, and says how many more there are.
func HTML(to io.Writer, r *replay.Replay) error {
	var b bytes.Buffer
	if err := pageTemplate.Execute(&b, newPage(r)); err != nil {
		return fmt.Errorf("writing the page of a replay: %w", err)
	}
	if _, err := io.WriteString(to, htmlpage.Shown(b.String())); err != nil {
		return fmt.Errorf("writing the page of a replay: %w", err)
	}
	return nil
}

// page is what the template fills in.
type page struct {
	Title, WhatIf        string
	Summary, Ways, Asked string
	Facts                []fact
	Parts                []pagePart
	Months               []pageMonth
	Rules                []pageRule
	Hindsight            string
	Caution              string
	MachinesSummary      string
	Machines             []fact
	MoreMachines         string
	Visits               []pageVisit
	More                 string
	NotAskedWhy          string
	NotAsked             []fact
	ConcessionsWhy       string
	Concessions          []string
	MoreConcessions      string
	NotJudged            factList
	Recorded             *pageRecorded
	New                  string
}

type fact struct{ Label, Text string }

// factList are the first of many facts. More says how many others there are.
type factList struct {
	List []fact
	More string
}

type pagePart struct {
	Name, What string
	Flow       *flow
	Head       []string
	Rows       [][]string
	Turned     string
	Turns      []string
}

type pageMonth struct {
	replay.Month
	Only     int // differ, and no answer turned
	Bar      bar
	Accepted bar
}

type pageRule struct {
	replay.RuleChange
	How string
	Bar bar
}

type pageVisit struct {
	Title, Answers, Release string
	Turned                  bool
	Groups                  []pageGroup
	Concessions             []string
}

type pageGroup struct {
	Rule, Title, Subjects, Turn string
	Tellings                    []telling
}

type pageRecorded struct {
	Came, By           string
	Differ, NotReached factList
}

func newPage(r *replay.Replay) *page {
	p := &page{
		Title: title(r), WhatIf: r.WhatIf, Summary: summary(r), Ways: ways(r), Asked: asked(r), New: r.New.Name,
		Facts:   []fact{{"under", standing(r.New)}, {"against", r.Against}, {"as judged", used(r.Old)}, {"visits", selected(r.Selected)}},
		Caution: caution, NotAskedWhy: notAsked, ConcessionsWhy: noConcession,
	}
	for _, of := range parts(r) {
		head, rows := of.grid()
		p.Parts = append(p.Parts, pagePart{Name: of.Name, What: of.What, Flow: newFlow(of, r.New.Name), Head: head, Rows: rows, Turned: turnedWords(of), Turns: of.turns()})
	}
	p.months(r)
	p.rules(r)
	p.machines(r)
	p.visits(r)
	for _, c := range unasked(r) {
		p.NotAsked = append(p.NotAsked, fact{c.Rule, lines.Count(c.NotAsked, "visit", "visits")})
	}
	var kept []replay.Concession
	kept, p.MoreConcessions = first(r.Concessions, mostOnPage)
	for _, c := range kept {
		p.Concessions = append(p.Concessions, conceded(c))
	}
	p.NotJudged = notJudgedFacts(r.NotJudged)
	if rec := r.Recorded; rec != nil {
		p.Recorded = &pageRecorded{Came: Reproduction{rec}.came(), By: used(rec.By), NotReached: notJudgedFacts(rec.NotReached)}
		p.Recorded.Differ = facted(rec.Differ, func(d replay.Differing) fact { return fact{d.Visit, "by " + d.Release + ": " + d.What} })
	}
	return p
}

func (p *page) months(r *replay.Replay) {
	most, accepted := 0, 0
	for _, m := range r.Months {
		most = max(most, m.Differ)
		accepted = max(accepted, m.OldAccepted, m.NewAccepted)
	}
	for _, m := range r.Months {
		only := m.Differ - m.Turned
		p.Months = append(p.Months, pageMonth{Month: m, Only: only, Bar: newBar(most, m.Turned, only, 0), Accepted: newPair(accepted, m.OldAccepted, m.NewAccepted)})
	}
}

func (p *page) machines(r *replay.Replay) {
	if len(r.Machines) == 0 {
		return
	}
	p.MachinesSummary = machinesSummary(r)
	var kept []replay.MachineChange
	kept, p.MoreMachines = first(machines(r), mostOnPage)
	for _, m := range kept {
		p.Machines = append(p.Machines, fact{machineName(m), machineVisits(m)})
	}
}

func (p *page) rules(r *replay.Replay) {
	rules := counted(r)
	if aboutWork(rules) {
		p.Hindsight = hindsight
	}
	most := 0
	for _, c := range rules {
		most = max(most, c.Nonconforming+c.Indeterminate+c.Conforming)
	}
	for _, c := range rules {
		how := directions[c.Direction]
		if c.Is != "both" {
			how = c.Is + ", " + how
		}
		p.Rules = append(p.Rules, pageRule{RuleChange: c, How: how, Bar: newBar(most, c.Nonconforming, c.Indeterminate, c.Conforming)})
	}
}

func (p *page) visits(r *replay.Replay) {
	changes, more := told(r, mostOnPage)
	for _, c := range changes {
		day, _, _ := strings.Cut(c.Started, "T")
		v := pageVisit{Title: fmt.Sprintf("%s of %s, machine %s at %s", c.Visit, day, c.Serial, c.Site), Answers: answers(c), Release: c.Release, Turned: c.Turned()}
		for _, g := range groups(c.Outcomes) {
			v.Groups = append(v.Groups, pageGroup{Rule: g.Rule, Title: g.Title, Subjects: g.subjects(), Turn: g.Turn, Tellings: g.tellings()})
		}
		for _, conceded := range c.Concessions {
			v.Concessions = append(v.Concessions, covers(conceded))
		}
		p.Visits = append(p.Visits, v)
	}
	if more > 0 {
		p.More = moreVisits(more)
	}
}

func notJudgedFacts(list []replay.NotJudged) factList {
	return facted(list, func(n replay.NotJudged) fact { return fact{n.Visit, whys[n.Why] + ": " + n.What} })
}

// facted are the first of a list as facts.
func facted[T any](list []T, one func(T) fact) factList {
	kept, more := first(list, mostOnPage)
	out := factList{More: more}
	for _, of := range kept {
		out.List = append(out.List, one(of))
	}
	return out
}
