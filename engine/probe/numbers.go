package probe

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/spoken"
)

// Number is one number of the record, and what turns on it.
type Number struct {
	Pointer string `json:"pointer"` // JSON pointer
	Place   string `json:"place"`   // the same in words
	Value   string `json:"value"`   // as written
	Unit    string `json:"unit"`    // code, as written beside it; empty where there is none
	Symbol  string `json:"symbol"`  // of the unit, as printed: °F; empty where it has none
	Step    string `json:"step"`    // the fineness with which it was searched, in that unit
	Turns   []Turn `json:"turns"`   // by rule and place; none where nothing turns
}

// Turn is one outcome that turns.
type Turn struct {
	Rule     string   `json:"rule"`
	Subjects []string `json:"subjects"`
	// Side is below or above: values on that side of At, which itself does not turn
	// it yet, have the outcome To up to the next turn.
	Side string `json:"side"`
	At   string `json:"at"`
	From string `json:"from"` // the outcome at At
	To   string `json:"to"`
	// With is what else the outcome was read from, as its facts have it.
	With string `json:"with"`
}

// Numbers probes every number of the record that a rule reads. They stand in the order
// of their places. A number that is written with an exponent, or too large, is left
// out.
func (p *Probe) Numbers(ctx context.Context) ([]Number, error) {
	all := leaves(p.of.Record)
	var list []leaf
	for _, l := range all {
		n, ok := l.value.(json.Number)
		if !ok || len(p.readers(l)) == 0 {
			continue
		}
		if _, plain := decimalsOf(n.String()); plain {
			list = append(list, l)
		}
	}
	found := make([]*Number, len(list))
	err := p.each(ctx, len(list), func(ctx context.Context, i int) error {
		var err error
		found[i], err = p.number(ctx, list[i], all)
		if err != nil {
			return fmt.Errorf("probing %s: %w", list[i].pointer(), err)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	out := []Number{}
	for _, n := range found {
		if n != nil {
			out = append(out, *n)
		}
	}
	return out, nil
}

// each does something for each of a number of things, several at a time.
func (p *Probe) each(ctx context.Context, of int, do func(ctx context.Context, i int) error) error {
	var mu sync.Mutex
	done := 0
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(max(1, p.opt.Workers))
	for i := range of {
		group.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := do(ctx, i); err != nil {
				return err
			}
			mu.Lock()
			defer mu.Unlock()
			done++
			if p.opt.Progress != nil {
				p.opt.Progress(done, of)
			}
			return nil
		})
	}
	return group.Wait()
}

// number probes one number.
func (p *Probe) number(ctx context.Context, l leaf, all []leaf) (*Number, error) {
	g, err := p.gridOf(l, all)
	if err != nil {
		return nil, err
	}
	here, ok := g.multiple(l.value.(json.Number).String())
	if !ok || here < g.low || here > g.high {
		return nil, nil
	}
	s := search{Probe: p, leaf: l, grid: g, here: here, known: map[string]map[int64]answers{}}
	rules := p.readers(l)
	unit, isReading := p.of.Record.Text(pointer(append(slices.Clone(l.tokens[:len(l.tokens)-1]), "unit")))
	// What an instrument can do is no reading, and read by many rules.
	isReading = isReading && l.tokens[len(l.tokens)-1] == "value"
	tried := g.around(here, isReading, p.neighbours(l, g, all))
	for _, n := range tried {
		if err := s.try(ctx, rules, n); err != nil {
			return nil, err
		}
	}
	out := &Number{Pointer: l.pointer(), Place: spoken.Place(p.of.Record.Value(), l.tokens), Value: l.value.(json.Number).String(), Unit: unit, Step: g.text(1), Turns: []Turn{}}
	if u, ok := p.set.Unit(unit); ok {
		out.Symbol = u.Symbol
	}
	for i := 1; i < len(tried); i++ {
		if err := s.between(ctx, rules, tried[i-1], tried[i]); err != nil {
			return nil, err
		}
	}
	for _, rule := range rules {
		turns, err := s.turns(ctx, rule)
		if err != nil {
			return nil, err
		}
		out.Turns = append(out.Turns, turns...)
	}
	return out, nil
}

// neighbours are the values of the same field elsewhere in the record, in the same
// unit: where one lies, another may.
func (p *Probe) neighbours(l leaf, g grid, all []leaf) []int64 {
	unitOf := func(l leaf) string {
		unit, _ := p.of.Record.Text(pointer(append(slices.Clone(l.tokens[:len(l.tokens)-1]), "unit")))
		return unit
	}
	seen := map[int64]bool{}
	for _, other := range all {
		if v, ok := other.value.(json.Number); ok && other.path.String() == l.path.String() && unitOf(other) == unitOf(l) {
			if n, ok := g.multiple(v.String()); ok {
				seen[n] = true
			}
		}
	}
	return sorted(seen)
}

func sorted(seen map[int64]bool) []int64 { return slices.Sorted(maps.Keys(seen)) }

// search is one number while it is probed.
type search struct {
	*Probe
	leaf
	grid  grid
	here  int64
	known map[string]map[int64]answers // by rule and multiple
}

// try asks rules about a value, of those not asked yet.
func (s *search) try(ctx context.Context, rules []string, n int64) error {
	doc, err := s.doc.With(s.tokens, json.Number(s.grid.text(n)))
	if err != nil {
		return err
	}
	got, err := s.ask(ctx, rules, doc)
	if err != nil {
		return fmt.Errorf("at %s: %w", s.grid.text(n), err)
	}
	for rule, a := range got {
		if s.known[rule] == nil {
			s.known[rule] = map[int64]answers{}
		}
		s.known[rule][n] = a
	}
	return nil
}

// between finds every place between two values at which a rule is seen to turn. Rules
// that turn in the same stretch are asked together, for what they share.
func (s *search) between(ctx context.Context, rules []string, low, high int64) error {
	var turning, asked []string
	middle := low + (high-low)/2
	for _, rule := range rules {
		if high-low < 2 || s.known[rule][low].equal(s.known[rule][high]) {
			continue
		}
		turning = append(turning, rule)
		if _, ok := s.known[rule][middle]; !ok {
			asked = append(asked, rule)
		}
	}
	if len(turning) == 0 {
		return nil
	}
	if len(asked) > 0 {
		if err := s.try(ctx, asked, middle); err != nil {
			return err
		}
	}
	if err := s.between(ctx, turning, low, middle); err != nil {
		return err
	}
	return s.between(ctx, turning, middle, high)
}

// turns reads off what was asked where the outcomes of a rule turn, going out from the
// value in the record.
func (s *search) turns(ctx context.Context, rule string) ([]Turn, error) {
	known := s.known[rule]
	values := slices.Sorted(maps.Keys(known))
	subjects := map[string]bool{}
	for _, a := range known {
		for subject := range a {
			subjects[subject] = true
		}
	}
	var out []Turn
	add := func(subject, side string, at, beyond int64) error {
		from, to := known[at].of(subject), known[beyond].of(subject)
		if from == to {
			return nil
		}
		with, err := s.with(ctx, rule, subject)
		if err != nil {
			return err
		}
		t := Turn{Rule: rule, Subjects: []string{subject}, Side: side, At: s.grid.text(at), From: from, To: to, With: with}
		for i := range out {
			o := &out[i]
			if o.Side == t.Side && o.At == t.At && o.From == t.From && o.To == t.To && o.With == t.With {
				o.Subjects = append(o.Subjects, subject)
				return nil
			}
		}
		out = append(out, t)
		return nil
	}
	start := slices.Index(values, s.here)
	for i := start; i > 0; i-- {
		for _, subject := range slices.Sorted(maps.Keys(subjects)) {
			if err := add(subject, "below", values[i], values[i-1]); err != nil {
				return nil, err
			}
		}
	}
	for i := start; i+1 < len(values); i++ {
		for _, subject := range slices.Sorted(maps.Keys(subjects)) {
			if err := add(subject, "above", values[i], values[i+1]); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// with is what else a rule reads its outcome from: the readings among its facts, if
// the number is one of them.
func (s *search) with(ctx context.Context, rule, subject string) (string, error) {
	s.mu.Lock()
	tell, ok := s.told[rule]
	if !ok {
		tell = sync.OnceValues(func() (*judge.Answer, error) {
			ctx := context.WithoutCancel(ctx)
			single, err := judge.NewSingle(ctx, s.set, rule)
			if err != nil {
				return nil, err
			}
			return single.Judge(ctx, s.of, nil)
		})
		s.told[rule] = tell
	}
	s.mu.Unlock()
	answer, err := tell()
	if err != nil {
		return "", err
	}
	own := pointer(s.tokens[:len(s.tokens)-1])
	mine := false
	var others []string
	for _, f := range answer.Facts[subject] {
		switch {
		case f.Pointer == own && f.Earlier == "":
			mine = true
		case f.Pointer != "" && f.Unit != "":
			others = append(others, strings.ReplaceAll(f.Name, "_", " ")+" "+f.Text)
		}
	}
	if !mine {
		return "", nil
	}
	return strings.Join(others, ", "), nil
}
