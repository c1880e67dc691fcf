package judge

import (
	"bytes"
	"encoding/json"
	"fmt"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/record"
)

// Case is one record with all that it is judged with.
type Case struct {
	Record  *record.Record
	Earlier history.Earlier
	// Received is when the record was received (RFC 3339); empty if nobody said.
	Received string
	// Concessions are looked through for those that apply; the order plays no part.
	Concessions []Concession
}

// Input is the document that the rules see, as JSON with an indent of two, so
// that anyone can put it before the release's files with other tools. Numbers
// stand as the record has them.
func Input(c Case) ([]byte, error) {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	err := enc.Encode(map[string]any{
		"visit":    c.Record.Value(),
		"earlier":  c.Earlier.Value(),
		"received": received(c),
	})
	if err != nil {
		return nil, fmt.Errorf("writing the input of visit %q: %w", c.Record.ID(), err)
	}
	return out.Bytes(), nil
}

func received(c Case) []any {
	if c.Received == "" {
		return []any{}
	}
	return []any{c.Received}
}

// converter brings a value of a record into the form that is evaluated.
type converter func(v any) (*ast.Term, error)

// termOf is the converter of a single case.
func termOf(v any) (*ast.Term, error) {
	value, err := ast.InterfaceToValue(v)
	if err != nil {
		return nil, err
	}
	return ast.NewTerm(value), nil
}

// inputValue is the same document as Input, in the form that is evaluated.
func inputValue(c Case) (ast.Value, error) { return inputBy(c, termOf) }

// inputBy is the same by a converter of its own. A visit that fills several slots is
// converted once.
func inputBy(c Case, convert converter) (ast.Value, error) {
	seen := map[*record.Record]*ast.Term{}
	visit := func(rec *record.Record) (*ast.Term, error) {
		if t, ok := seen[rec]; ok {
			return t, nil
		}
		t, err := convert(rec.Value())
		if err != nil {
			return nil, fmt.Errorf("bringing visit %q before the rules: %w", rec.ID(), err)
		}
		seen[rec] = t
		return t, nil
	}
	this, err := visit(c.Record)
	if err != nil {
		return nil, err
	}
	var earlier [][2]*ast.Term
	add := func(key string, t *ast.Term) { earlier = append(earlier, [2]*ast.Term{ast.StringTerm(key), t}) }
	for _, slot := range []string{history.SlotLastVisit, history.SlotMeters, history.SlotBattery} {
		rec := c.Earlier.Visit(slot)
		if rec == nil {
			add(slot, ast.ArrayTerm())
			continue
		}
		t, err := visit(rec)
		if err != nil {
			return nil, err
		}
		add(slot, ast.ArrayTerm(t))
	}
	services := make([]*ast.Term, len(c.Earlier.LastServices))
	for i, s := range c.Earlier.LastServices {
		t, err := visit(s.Visit)
		if err != nil {
			return nil, err
		}
		services[i] = ast.ObjectTerm(
			[2]*ast.Term{ast.StringTerm("level"), ast.StringTerm(s.Level)},
			[2]*ast.Term{ast.StringTerm("visit"), t},
		)
	}
	add("last_services", ast.ArrayTerm(services...))
	open := history.Earlier{OpenItems: c.Earlier.OpenItems, Tags: c.Earlier.Tags, Restrictions: c.Earlier.Restrictions, MeterChanges: c.Earlier.MeterChanges}.Value()
	for _, key := range []string{"open_items", "tags", "restrictions", "meter_changes"} {
		t, err := convert(open[key])
		if err != nil {
			return nil, fmt.Errorf("bringing what stands open before visit %q to the rules: %w", c.Record.ID(), err)
		}
		add(key, t)
	}
	when, err := convert(received(c))
	if err != nil {
		return nil, fmt.Errorf("bringing visit %q before the rules: %w", c.Record.ID(), err)
	}
	return ast.NewObject(
		[2]*ast.Term{ast.StringTerm("visit"), this},
		[2]*ast.Term{ast.StringTerm("earlier"), ast.ObjectTerm(earlier...)},
		[2]*ast.Term{ast.StringTerm("received"), when},
	), nil
}
