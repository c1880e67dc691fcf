package replay

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/turn"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// found is what came of one visit. It is what a cache keeps.
type found struct {
	Old      Answers         `json:"old"`
	New      Answers         `json:"new"`
	Outcomes []OutcomeChange `json:"outcomes,omitempty"` // that differ, and are a finding on one side
	Quiet    []quiet         `json:"quiet,omitempty"`    // that differ, and are a finding on neither
	Withheld []string        `json:"withheld,omitempty"` // rules that the record's schema has no field for
	// Conceded are the outcomes of the recorded verdict that a concession covers.
	Conceded []Conceded `json:"conceded,omitempty"`
}

// quiet counts outcomes of one rule that turned from one answer to another.
type quiet struct {
	Rule  string      `json:"rule"`
	From  turn.Answer `json:"from"`
	To    turn.Answer `json:"to"`
	First string      `json:"first"` // subject
	Count int         `json:"count"`
}

// one is a visit that is to be judged.
type one struct {
	visit    archive.Visit
	rec      *record.Record
	earlier  history.Earlier
	compared string   // digest
	redacted []string // ids of visits that it would be compared with too
	received string
}

func (o one) instance() judge.Case {
	return judge.Case{Record: o.rec, Earlier: o.earlier, Received: o.received}
}

// both judges a visit on both sides.
func (r *run) both(ctx context.Context, o one, p *plan) (*found, error) {
	old, conceded, err := r.old(ctx, o, p)
	if err != nil {
		return nil, err
	}
	now := old
	if p.old.digest() != p.now.digest() || r.opt.InFull { // one release gives one verdict
		if now, err = p.ask.Judge(ctx, o.instance(), p.known(old.Outcomes)); err != nil {
			return nil, err
		}
	}
	f := &found{Old: answers(old), New: answers(now), Withheld: p.withheld}
	f.differ(old, now)
	for _, c := range conceded {
		c.Old, c.New = nonconforming(old, c), nonconforming(now, c)
		f.Conceded = append(f.Conceded, c)
	}
	return f, nil
}

// old is what the old side says, without concessions, and which of the outcomes of the
// recorded verdict were conceded.
func (r *run) old(ctx context.Context, o one, p *plan) (*verdict.Verdict, []Conceded, error) {
	recorded, entry, err := r.recorded(ctx, o)
	if err != nil {
		return nil, nil, err
	}
	var conceded []Conceded
	if recorded != nil {
		for _, of := range recorded.Outcomes {
			if of.ConcededBy != "" {
				conceded = append(conceded, Conceded{ID: of.ConcededBy, Rule: of.Rule, Subject: of.Subject})
			}
		}
	}
	from := recorded
	if recorded == nil || r.opt.InFull || p.partly || entry.Release.Digest != p.old.digest() || entry.Compared != o.compared || recorded.Received != o.received {
		j, err := p.old.judge()
		if err != nil {
			return nil, nil, err
		}
		if from, err = j.Judge(ctx, o.instance()); err != nil {
			return nil, nil, err
		}
	}
	if from != recorded || len(conceded) == 0 {
		return from, conceded, nil
	}
	v, err := p.conclude.Judge(ctx, o.instance(), from.Outcomes)
	return v, conceded, err
}

// recorded is the latest verdict of a visit, or nil where there is none.
func (r *run) recorded(ctx context.Context, o one) (*verdict.Verdict, archive.Entry, error) {
	entry, ok := o.visit.Verdict()
	if !ok {
		return nil, entry, nil
	}
	data, err := r.opt.From.Bytes(ctx, entry.Verdict)
	if err != nil {
		return nil, entry, err
	}
	// The archive holds the bytes against their digest; who wrote them held them
	// against the schema.
	v, err := readVerdict(data)
	if err != nil {
		return nil, entry, fmt.Errorf("reading the archived verdict of visit %q: %w", o.visit.ID, err)
	}
	return v, entry, nil
}

func readVerdict(data []byte) (*verdict.Verdict, error) {
	var v verdict.Verdict
	err := json.Unmarshal(data, &v)
	return &v, err
}

func answers(v *verdict.Verdict) Answers {
	return Answers{v.Acceptance.Value, v.Serviceability, v.Completion}
}

func nonconforming(v *verdict.Verdict, c Conceded) bool {
	return slices.ContainsFunc(v.Outcomes, func(o verdict.Outcome) bool {
		return o.Rule == c.Rule && o.Subject == c.Subject && o.Outcome == verdict.Nonconforming
	})
}

// differ takes down which outcomes differ.
func (f *found) differ(old, now *verdict.Verdict) {
	for _, p := range turn.Pairs(old.Outcomes, now.Outcomes) {
		if p.Was != nil && p.Was.Finding() || p.Is != nil && p.Is.Finding() {
			f.Outcomes = append(f.Outcomes, OutcomeChange{
				Rule: p.Rule, Title: cmp.Or(p.Is, p.Was).Title, Subject: p.Subject, Old: said(p.Was), New: said(p.Is),
			})
			continue
		}
		last := len(f.Quiet) - 1
		if last >= 0 && f.Quiet[last].Rule == p.Rule && f.Quiet[last].From == p.From() && f.Quiet[last].To == p.To() {
			f.Quiet[last].Count++
			continue
		}
		f.Quiet = append(f.Quiet, quiet{Rule: p.Rule, From: p.From(), To: p.To(), First: p.Subject, Count: 1})
	}
}

func said(o *verdict.Outcome) *Said {
	if o == nil {
		return nil
	}
	return &Said{Outcome: o.Outcome, Because: o.Because, Severity: o.Severity, Statement: o.Statement, Pointer: o.Pointer, Facts: o.Facts}
}

// refusedRecord tells whether a machine could not be read because a record is none.
func refusedRecord(err error) bool {
	var problems record.Problems
	return errors.As(err, &problems)
}
