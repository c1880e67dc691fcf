package replay

import (
	"cmp"
	"maps"
	"slices"
	"sync"
	"time"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/turn"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// heap keeps what came of visits until all are done. It may be used by several
// goroutines at once; the order in which they come plays no part.
type heap struct {
	mu     sync.Mutex
	judged []judged
	not    []NotJudged
}

// judged is a visit with what came of it.
type judged struct {
	entry   archive.Entry // of the version that stands
	started time.Time
	old     *Edition
	found   *found
}

func (h *heap) add(o one, p *plan, f *found) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.judged = append(h.judged, judged{entry: o.visit.Standing(), started: o.rec.Started(), old: p.named, found: f})
}

func (h *heap) addNot(n NotJudged) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.not = append(h.not, n)
}

// sorted puts the visits in the order in which they started.
func (h *heap) sorted() ([]judged, []NotJudged) {
	slices.SortFunc(h.judged, func(a, b judged) int {
		return cmp.Or(a.started.Compare(b.started), cmp.Compare(a.entry.Visit, b.entry.Visit))
	})
	slices.SortFunc(h.not, func(a, b NotJudged) int { return cmp.Compare(a.Visit, b.Visit) })
	return h.judged, append([]NotJudged{}, h.not...)
}

// sum adds up visits in order.
type sum struct {
	out         *Replay
	now         *Edition
	used        map[*Edition]int
	acceptance  map[[2]string]int
	service     map[[2]string]int
	completion  map[[2]string]int
	rules       map[string]*ruleSum
	machines    map[string]*machineSum
	concessions map[Conceded]*Concession // by id, rule and subject
}

type ruleSum struct {
	RuleChange
	turns turn.Counter
}

type machineSum struct{ MachineChange }

// replay is what the heap comes to.
func (h *heap) replay(opt Options) *Replay {
	s := &sum{
		out: &Replay{Schema: Schema, WhatIf: WhatIf, New: opt.Under.release(), Against: opt.Words, Selected: opt.Select,
			Months: []Month{}, Changed: []Change{}},
		now: opt.Under, used: map[*Edition]int{},
		acceptance: map[[2]string]int{}, service: map[[2]string]int{}, completion: map[[2]string]int{},
		rules: map[string]*ruleSum{}, machines: map[string]*machineSum{}, concessions: map[Conceded]*Concession{},
	}
	all, not := h.sorted()
	s.out.NotJudged = not
	s.out.Visits.Selected, s.out.Visits.Judged = len(all)+len(not), len(all)
	for _, j := range all {
		s.add(j)
	}
	return s.finish()
}

func (s *sum) add(j judged) {
	f := j.found
	c := Change{
		Visit: j.entry.Visit, Serial: j.entry.Serial, Class: j.entry.Class, Site: j.entry.Site, Started: j.entry.Started,
		Release: j.old.side.Name, Old: f.Old, New: f.New,
		Outcomes: append([]OutcomeChange{}, f.Outcomes...), Concessions: []Conceded{},
	}
	s.used[j.old]++
	s.acceptance[[2]string{string(f.Old.Acceptance), string(f.New.Acceptance)}]++
	s.service[[2]string{string(f.Old.Serviceability), string(f.New.Serviceability)}]++
	s.completion[[2]string{string(f.Old.Completion), string(f.New.Completion)}]++
	for _, conceded := range f.Conceded {
		if conceded.Old || conceded.New {
			c.Concessions = append(c.Concessions, conceded)
		}
		s.concede(conceded)
	}
	differs := c.Turned() || len(c.Outcomes) > 0
	s.month(j, differs, c.Turned())
	s.machine(j)
	s.outcomes(j, f)
	if len(f.Withheld) > 0 {
		s.out.Visits.NotAsked++
	}
	if differs {
		s.out.Visits.Differ++
		if c.Turned() {
			s.out.Visits.Turned++
		}
		s.out.Changed = append(s.out.Changed, c)
	}
}

// month counts a visit. Visits come in the order in which they started, but the local
// month may go back by one where they are in different zones.
func (s *sum) month(j judged, differs, turned bool) {
	name := j.entry.Day()[:len("2006-01")]
	at, there := slices.BinarySearchFunc(s.out.Months, name, func(m Month, name string) int { return cmp.Compare(m.Month, name) })
	if !there {
		s.out.Months = slices.Insert(s.out.Months, at, Month{Month: name})
	}
	m := &s.out.Months[at]
	m.Visits++
	m.OldAccepted += count(j.found.Old.Acceptance == verdict.Accepted)
	m.NewAccepted += count(j.found.New.Acceptance == verdict.Accepted)
	m.Differ += count(differs)
	m.Turned += count(turned)
}

func count(is bool) int {
	if is {
		return 1
	}
	return 0
}

func (s *sum) machine(j judged) {
	m := s.machines[j.entry.Serial]
	if m == nil {
		m = &machineSum{}
		s.machines[j.entry.Serial] = m
	}
	m.Serial, m.Class, m.Site = j.entry.Serial, j.entry.Class, j.entry.Site
	old, now := j.found.Old.Serviceability, j.found.New.Serviceability
	if m.Latest = old != now; m.Latest {
		m.Visits = append(m.Visits, MachineVisit{Visit: j.entry.Visit, Started: j.entry.Started, Old: old, New: now})
	}
}

// outcomes counts what differs, by rule.
func (s *sum) outcomes(j judged, f *found) {
	touched := map[string]bool{}
	for _, o := range f.Outcomes {
		r := s.rule(o.Rule, j.old)
		if !touched[o.Rule] {
			touched[o.Rule] = true
			r.Visits++
		}
		from, to := o.Old.Answer(), o.New.Answer()
		r.turns.Add(from, to, j.entry.Visit+": "+o.Subject)
		switch {
		case to.Outcome == from.Outcome:
		case to.Outcome == verdict.Nonconforming:
			r.Nonconforming++
		case to.Outcome == verdict.Indeterminate:
			r.Indeterminate++
		case to.Outcome == verdict.Conforming:
			r.Conforming++
		}
	}
	for _, q := range f.Quiet {
		for range q.Count {
			s.rule(q.Rule, j.old).turns.Add(q.From, q.To, j.entry.Visit+": "+q.First)
		}
	}
	for _, name := range f.Withheld {
		s.rule(name, j.old).NotAsked++
	}
}

// rule is where what differs of a rule is added up.
func (s *sum) rule(name string, old *Edition) *ruleSum {
	if r := s.rules[name]; r != nil {
		return r
	}
	was, before := old.set.Rule(name)
	is, after := s.now.set.Rule(name)
	r := &ruleSum{RuleChange: RuleChange{Rule: name, Title: is.Title, Severity: is.Severity, Is: "both"}}
	if !after {
		r.Title, r.Severity, r.Is = was.Title, was.Severity, "dropped"
	} else if !before {
		r.Is = "added"
	}
	s.rules[name] = r
	return r
}

func (s *sum) concede(c Conceded) {
	key := Conceded{ID: c.ID, Rule: c.Rule, Subject: c.Subject}
	if s.concessions[key] == nil {
		s.concessions[key] = &Concession{ID: c.ID, Rule: c.Rule, Subject: c.Subject}
	}
	of := s.concessions[key]
	of.Visits++
	of.Old += count(c.Old)
	of.New += count(c.New)
}

// The answers in the order in which they are told, the best first.
var (
	acceptances      = []string{string(verdict.Accepted), string(verdict.Incomplete), string(verdict.Rejected)}
	serviceabilities = []string{string(verdict.Serviceable), string(verdict.Restricted), string(verdict.Undetermined), string(verdict.Unserviceable)}
	completions      = []string{string(verdict.Full), string(verdict.Partial), string(verdict.Stopped), string(verdict.None)}
)

func transitions(counts map[[2]string]int, order []string) []Transition {
	out := []Transition{}
	for _, old := range order {
		for _, now := range order {
			if n := counts[[2]string{old, now}]; n > 0 {
				out = append(out, Transition{Old: old, New: now, Count: n})
			}
		}
	}
	return out
}

func (s *sum) finish() *Replay {
	out := s.out
	out.Acceptance = transitions(s.acceptance, acceptances)
	out.Serviceability = transitions(s.service, serviceabilities)
	out.Completion = transitions(s.completion, completions)
	out.Old = []Used{}
	for e, n := range s.used {
		out.Old = append(out.Old, Used{Release: e.release(), Visits: n})
	}
	slices.SortFunc(out.Old, compareUsed)
	out.Rules, out.Machines, out.Concessions = []RuleChange{}, []MachineChange{}, []Concession{}
	for _, name := range slices.Sorted(maps.Keys(s.rules)) {
		r := s.rules[name]
		r.Turned, r.Direction = r.turns.Sorted(), r.turns.Direction()
		out.Rules = append(out.Rules, r.RuleChange)
	}
	for _, serial := range slices.Sorted(maps.Keys(s.machines)) {
		if m := s.machines[serial]; len(m.Visits) > 0 {
			out.Machines = append(out.Machines, m.MachineChange)
		}
	}
	for _, c := range s.concessions {
		out.Concessions = append(out.Concessions, *c)
	}
	slices.SortFunc(out.Concessions, func(a, b Concession) int {
		return cmp.Or(cmp.Compare(a.ID, b.ID), cmp.Compare(a.Rule, b.Rule), verdict.CompareSubjects(a.Subject, b.Subject))
	})
	return out
}

func compareUsed(a, b Used) int {
	return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.Digest, b.Digest))
}
