package probe

import (
	"context"
	"encoding/json"
	"fmt"
	"math/big"
	"slices"
	"time"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/spoken"
)

// Field is one single value of the record, and whether any outcome hangs on it.
type Field struct {
	Pointer string `json:"pointer"` // JSON pointer
	Place   string `json:"place"`   // the same in words
	Field   string `json:"field"`   // JSON pointer with * for each index
	Removed Effect `json:"removed"` // what comes of taking it out
	Changed Effect `json:"changed"` // what comes of other values, as far as they were tried
	// Rules are those of which an outcome changed, without the field or by the first
	// value that changed any: sorted.
	Rules []string `json:"rules"`
}

// Effect is what comes of a change to the record.
type Effect string

// The effects. Refused is a record that would not be judged at all.
const (
	Changes Effect = "changes an outcome"
	Nothing Effect = "changes nothing"
	Refused Effect = "is refused"
)

// Fields probes every single value of the record, in the order of their places:
// without it, and with others in its place. For a word of a list these are all others
// of the list; for a time or day, ones before and after; for a number, ones near and
// far; for other text, another. That a change of value changes nothing is known for
// those values alone.
func (p *Probe) Fields(ctx context.Context) ([]Field, error) {
	all := leaves(p.of.Record)
	out := make([]Field, len(all))
	err := p.each(ctx, len(all), func(ctx context.Context, i int) error {
		var err error
		if out[i], err = p.field(ctx, all[i]); err != nil {
			return fmt.Errorf("probing %s: %w", all[i].pointer(), err)
		}
		return nil
	})
	return out, err
}

func (p *Probe) field(ctx context.Context, l leaf) (Field, error) {
	f := Field{Pointer: l.pointer(), Place: spoken.Place(p.of.Record.Value(), l.tokens), Field: pointer(l.path[2:]), Removed: Refused, Changed: Refused, Rules: []string{}}
	rec, err := p.altered(l, nil, true)
	if err != nil {
		return f, err
	}
	if rec != nil {
		if f.Removed, err = p.effect(ctx, l, rec, &f); err != nil {
			return f, err
		}
	}
	for _, value := range p.others(l) {
		rec, err := p.altered(l, value, false)
		if err != nil {
			return f, err
		}
		if rec == nil {
			continue
		}
		if f.Changed, err = p.effect(ctx, l, rec, &f); err != nil {
			return f, err
		}
		if f.Changed == Changes {
			break // more values would name more rules, and take most of the time
		}
	}
	slices.Sort(f.Rules)
	return f, nil
}

// chooses are the fields by which the visits to compare with are chosen.
var chooses = []string{"/id", "/machine/serial", "/started", "/ended"}

// effect asks the rules about an altered record.
func (p *Probe) effect(ctx context.Context, l leaf, rec *record.Record, f *Field) (Effect, error) {
	rules := p.readers(l)
	c := p.of
	c.Record = rec
	if slices.Contains(chooses, l.pointer()) && p.opt.Earlier != nil {
		c.Earlier = p.opt.Earlier(rec)
		rules = p.opt.Rules
	}
	if len(rules) == 0 {
		return Nothing, nil
	}
	doc, err := judge.NewDocument(c)
	if err != nil {
		return Nothing, err
	}
	got, err := p.ask(ctx, rules, doc)
	if err != nil {
		return Nothing, err
	}
	effect := Nothing
	for rule, a := range got {
		if !a.equal(p.before[rule]) {
			effect = Changes
			if !slices.Contains(f.Rules, rule) {
				f.Rules = append(f.Rules, rule)
			}
		}
	}
	return effect, nil
}

// others are values to try in the place of one.
func (p *Probe) others(l leaf) []any {
	switch v := l.value.(type) {
	case bool:
		return []any{!v}
	case json.Number:
		return numbersBeside(v.String())
	case string:
		var out []any
		for _, word := range p.reads.Words(l.path) {
			if word != v {
				out = append(out, word)
			}
		}
		if len(out) > 0 {
			return out
		}
		if units := p.unitsBeside(v); len(units) > 0 && l.tokens[len(l.tokens)-1] == "unit" {
			return units
		}
		if at, err := time.Parse(time.RFC3339, v); err == nil {
			for _, by := range []time.Duration{-time.Minute, time.Minute, -time.Hour, time.Hour, -day, day, -1000 * day} {
				out = append(out, at.Add(by).Format(time.RFC3339))
			}
			return out
		}
		if at, err := time.Parse(time.DateOnly, v); err == nil {
			for _, by := range []int{-1, 1, -100, 100, -1000, 1000} {
				out = append(out, at.AddDate(0, 0, by).Format(time.DateOnly))
			}
			return out
		}
		return []any{"other-1", "B9.9", "B9", "B9+", v + "1"}
	}
	return nil
}

const day = 24 * time.Hour

// numbersBeside are numbers near one and far from it, with its decimals and one more.
func numbersBeside(text string) []any {
	v, ok := new(big.Rat).SetString(text)
	decimals, plain := decimalsOf(text)
	if !ok || !plain {
		return nil
	}
	var out []any
	seen := map[string]bool{text: true}
	for _, factor := range [][2]int64{{0, 1}, {1, 2}, {9, 10}, {98, 100}, {102, 100}, {11, 10}, {2, 1}, {10, 1}} {
		for _, d := range []int{decimals, min(decimals+1, mostDecimals)} {
			n := new(big.Rat).Mul(v, big.NewRat(factor[0], factor[1])).FloatString(d)
			if !seen[n] {
				seen[n] = true
				out = append(out, json.Number(n))
			}
		}
	}
	return out
}

// unitsBeside are the other units of the quantity of one.
func (p *Probe) unitsBeside(code string) []any {
	unit, ok := p.set.Unit(code)
	if !ok {
		return nil
	}
	units, _ := p.set.Data()["units"].(map[string]any)
	var codes []string
	for other := range units {
		if u, _ := p.set.Unit(other); u.Quantity == unit.Quantity && other != code {
			codes = append(codes, other)
		}
	}
	slices.Sort(codes)
	var out []any
	for _, c := range codes {
		out = append(out, c)
	}
	return out
}
