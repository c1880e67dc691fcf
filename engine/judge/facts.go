package judge

import (
	"context"
	"encoding/json"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// NotRecorded is printed for what the record does not hold.
const NotRecorded = "(not recorded)"

// source is where facts are looked up: nothing that is printed went through the
// arithmetic of the rules, unless a rule computed it.
type source struct {
	set     *ruleset.Set
	record  *record.Record
	earlier history.Earlier
}

// explain asks one rule for its facts, in the session of the first question, so that
// little is evaluated again.
func explain(ctx context.Context, prepared func() (*query, error), rule string, src source, s *session) (map[string][]verdict.Fact, error) {
	name := rule + "." + ruleset.Facts
	got, err := s.ask(ctx, []string{name}, prepared)
	if err != nil {
		return nil, err
	}
	return src.factsOf(rule, got[name])
}

// factsOf reads the facts that a rule gives, by subject, from its answer.
func (src source) factsOf(rule string, v ast.Value) (map[string][]verdict.Fact, error) {
	obj, ok := v.(ast.Object)
	if !ok {
		return nil, &Fault{Rule: rule, Message: "facts are not given by subject"}
	}
	out := make(map[string][]verdict.Fact, obj.Len())
	for _, key := range obj.Keys() {
		subject, ok := key.Value.(ast.String)
		if !ok {
			return nil, &Fault{Rule: rule, Message: fmt.Sprintf("facts about %v, which is no subject", key)}
		}
		facts, err := src.facts(obj.Get(key).Value)
		if err != nil {
			return nil, &Fault{Rule: rule, Subject: string(subject), Message: "facts", Err: err}
		}
		out[string(subject)] = facts
	}
	return out, nil
}

// facts resolves the facts about one subject, sorted by name and text.
func (src source) facts(v ast.Value) ([]verdict.Fact, error) {
	raw, err := ast.JSON(v)
	if err != nil {
		return nil, err
	}
	list, ok := raw.([]any)
	if !ok {
		return nil, fmt.Errorf("%v is no set of facts", v)
	}
	out := make([]verdict.Fact, 0, len(list))
	worked := map[int]*big.Rat{}
	for i, e := range list {
		fields, ok := e.(map[string]any)
		if !ok {
			return nil, fmt.Errorf("%v is no fact", e)
		}
		fact, err := src.fact(fields)
		if err != nil {
			return nil, err
		}
		out = append(out, fact)
		if worked[i], err = quotient(fields); err != nil {
			return nil, fmt.Errorf("%s: %w", fact.Name, err)
		}
	}
	src.refine(out, worked)
	slices.SortFunc(out, func(a, b verdict.Fact) int {
		return compareAll(a.Name, b.Name, a.Text, b.Text, a.Pointer, b.Pointer, a.Earlier, b.Earlier)
	})
	src.convert(out)
	return out, nil
}

// compareAll compares strings by pairs, the first that differ decide.
func compareAll(pairs ...string) int {
	for i := 0; i+1 < len(pairs); i += 2 {
		if c := verdict.CompareSubjects(pairs[i], pairs[i+1]); c != 0 {
			return c
		}
	}
	return 0
}

// The five forms of a fact, by the fields they have besides name.
var forms = map[string][]string{
	"at":      {"at"},
	"earlier": {"at", "earlier"},
	"limit":   {"bound", "limit"},
	"number":  {"number", "place", "scale", "unit"},
	"text":    {"text"},
}

// fact resolves one fact.
func (src source) fact(fields map[string]any) (verdict.Fact, error) {
	name, _ := fields["name"].(string)
	if name == "" {
		return verdict.Fact{}, fmt.Errorf("%v has no name", fields)
	}
	var have []string
	for field := range fields {
		if field != "name" {
			have = append(have, field)
		}
	}
	slices.Sort(have)
	form := ""
	for f, want := range forms {
		if slices.Equal(have, want) {
			form = f
		}
	}
	fact := verdict.Fact{Name: name}
	var err error
	switch form {
	case "at":
		fact.Pointer, _ = fields["at"].(string)
		err = src.read(&fact, src.record)
	case "earlier":
		fact.Pointer, _ = fields["at"].(string)
		fact.Earlier, _ = fields["earlier"].(string)
		rec := src.earlier.Visit(fact.Earlier)
		if rec == nil {
			return fact, fmt.Errorf("%s: there is no earlier visit in slot %q", name, fact.Earlier)
		}
		err = src.read(&fact, rec)
	case "limit":
		err = src.limit(&fact, fields)
	case "number":
		err = src.number(&fact, fields)
	case "text":
		text, ok := fields["text"].(string)
		if !ok {
			return fact, fmt.Errorf("%s: text is %v, not a string", name, fields["text"])
		}
		fact.Text = text
	default:
		return fact, fmt.Errorf("%s: is given by %s; a fact is given by at, by at and earlier, by limit and bound, "+
			"by number, scale, place and unit, or by text", name, strings.Join(have, ", "))
	}
	if err != nil {
		return fact, fmt.Errorf("%s: %w", name, err)
	}
	return fact, nil
}

// read fills a fact from the place in a record that its pointer names: a reading
// is printed with its unit, a single value as it is written.
func (src source) read(fact *verdict.Fact, rec *record.Record) error {
	at, ok := rec.At(fact.Pointer)
	if !ok {
		fact.Text = NotRecorded
		return nil
	}
	switch v := at.(type) {
	case map[string]any:
		_, number := v["value"].(json.Number)
		unit, named := v["unit"].(string)
		if !number || !named {
			return fmt.Errorf("%s is neither a reading nor a single value", fact.Pointer)
		}
		fact.Value, _ = rec.Text(fact.Pointer + "/value")
		fact.Unit = unit
		fact.Text = src.withUnit(fact.Value, unit)
	case bool:
		fact.Text = "no"
		if v {
			fact.Text = "yes"
		}
		fact.Value = fact.Text
	case string, json.Number:
		fact.Value, _ = rec.Text(fact.Pointer)
		fact.Text = fact.Value
	default:
		return fmt.Errorf("%s is neither a reading nor a single value", fact.Pointer)
	}
	return nil
}

func (src source) limit(fact *verdict.Fact, fields map[string]any) error {
	path, _ := fields["limit"].(string)
	bound, _ := fields["bound"].(string)
	text, unit, ok := src.set.Limit(path, bound)
	if !ok {
		return fmt.Errorf("there is no limit %q with bound %q", path, bound)
	}
	fact.Value, fact.Unit = text, unit
	fact.Text = src.withUnit(text, unit)
	fact.Limit = path + " " + bound
	fact.Source, fact.Mark = basisOf(src.set, path)
	return nil
}

func (src source) number(fact *verdict.Fact, fields map[string]any) error {
	value, err := quotient(fields)
	if err != nil {
		return err
	}
	place, err := places(fmt.Sprint(fields["place"]))
	if err != nil {
		return err
	}
	unit, ok := fields["unit"].(string)
	if !ok {
		return fmt.Errorf("unit is %v, not a unit's code", fields["unit"])
	}
	fact.Value = fixed(value, place)
	fact.Unit = unit
	fact.Text = src.withUnit(fact.Value, unit)
	return nil
}

// quotient is the number of a fact that a rule worked out; nil of any other fact.
func quotient(fields map[string]any) (*big.Rat, error) {
	if _, ok := fields["number"]; !ok {
		return nil, nil
	}
	value, err := exact(fmt.Sprint(fields["number"]))
	if err != nil {
		return nil, err
	}
	scale, err := exact(fmt.Sprint(fields["scale"]))
	if err != nil {
		return nil, err
	}
	if scale.Sign() <= 0 {
		return nil, fmt.Errorf("scale is %v, not above zero", fields["scale"])
	}
	return value.Quo(value, scale), nil
}

// pointerOf is the place that an outcome turns on: that of the fact named at,
// else that of the fact named reading, else the first by name. Places in earlier
// visits do not count.
func pointerOf(facts []verdict.Fact) string {
	first := ""
	best := map[string]string{}
	for _, f := range facts {
		if f.Pointer == "" || f.Earlier != "" {
			continue
		}
		if first == "" {
			first = f.Pointer
		}
		if _, seen := best[f.Name]; !seen {
			best[f.Name] = f.Pointer
		}
	}
	for _, name := range []string{"at", "reading"} {
		if p, ok := best[name]; ok {
			return p
		}
	}
	return first
}
