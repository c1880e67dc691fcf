package examples

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/spoken"
)

// Told is one example in words.
type Told struct {
	Name     string   `json:"name"`
	File     string   `json:"file"` // inside the release
	Line     int      `json:"line"` // 1-based
	Base     string   `json:"base"`
	Changes  []string `json:"changes"`  // what is changed from the base visit
	Earlier  []string `json:"earlier"`  // the visits it is compared with
	Received string   `json:"received"` // RFC 3339; empty where the example names none
	Outcomes []Saw    `json:"outcomes"` // of the subjects that the example names
}

// Saw is what an example expects of a subject, and what the rule then says.
type Saw struct {
	Subject   string `json:"subject"` // others for all that are not named
	Outcome   string `json:"outcome"` // as examples write it
	Statement string `json:"statement"`
}

// Case is what one example puts before its rule.
type Case struct {
	Name string
	Line int // 1-based, in the rule's examples file
	Case judge.Case
	from example
}

// Cases builds the cases of the examples of one rule. An example that cannot be
// built is left out: [Runner.Rule] says why.
func (r *Runner) Cases(rule string) ([]Case, error) {
	cases, _, err := r.Some(rule, func(string) bool { return true })
	return cases, err
}

// Some builds the cases of those examples of a rule that are wanted by their names,
// and counts those wanted that cannot be built.
func (r *Runner) Some(rule string, wanted func(name string) bool) (cases []Case, unbuilt int, err error) {
	list, err := r.examples(rule)
	if err != nil {
		return nil, 0, err
	}
	for _, e := range list {
		if !wanted(e.name) {
			continue
		}
		c, err := r.build(e)
		if err != nil {
			unbuilt++
			continue
		}
		cases = append(cases, Case{e.name, e.line, c, e})
	}
	return cases, unbuilt, nil
}

// Mixed is a case to which the changes of another are made as well. It returns
// false where the two do not go together: other bases, or a visit that would be
// refused.
func (r *Runner) Mixed(one, other Case) (Case, bool) {
	e, more := one.from, other.from.visit
	if e.visit.base != more.base || len(more.changes) == 0 {
		return Case{}, false
	}
	e.visit.changes = slices.Concat(e.visit.changes, more.changes)
	c, err := r.build(e)
	return Case{one.Name + ", and " + other.Name, one.Line, c, e}, err == nil
}

// examples reads the examples of one rule; none where it has no file of them.
func (r *Runner) examples(rule string) ([]example, error) {
	data, err := fs.ReadFile(r.release, examplesOf(rule))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("reading examples: %w", err)
	}
	list, err := parse(rule[strings.LastIndexByte(rule, '.')+1:], data)
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", examplesOf(rule), err)
	}
	return list, nil
}

func examplesOf(rule string) string {
	return "examples/" + strings.ReplaceAll(rule, ".", "/") + ".yaml"
}

// Tell puts the examples of one rule into words, and what the rule says of each.
func (r *Runner) Tell(ctx context.Context, rule string) ([]Told, error) {
	list, err := r.examples(rule)
	if err != nil || len(list) == 0 {
		return []Told{}, err
	}
	single, err := judge.NewSingle(ctx, r.set, rule)
	if err != nil {
		return nil, err
	}
	bases, err := r.bases()
	if err != nil {
		return nil, err
	}
	out := []Told{}
	for _, e := range list {
		told := Told{Name: e.name, File: examplesOf(rule), Line: e.line, Base: e.visit.base, Changes: tellAll(bases, e.visit), Earlier: []string{}, Received: e.received}
		for _, v := range e.earlier {
			text := v.base
			if changes := tellAll(bases, v); len(changes) > 0 {
				text += "; " + strings.Join(changes, "; ")
			}
			told.Earlier = append(told.Earlier, text)
		}
		c, err := r.build(e)
		if err != nil {
			return nil, fmt.Errorf("building example %q of %s: %w", e.name, rule, err)
		}
		answer, err := single.Judge(ctx, c, nil)
		if err != nil {
			return nil, err
		}
		for _, o := range answer.Outcomes {
			subject := o.Subject
			if _, named := e.expect[subject]; !named && !e.spared {
				if subject = others; told.saw(others) || e.expect[others] == "" {
					continue
				}
			}
			told.Outcomes = append(told.Outcomes, Saw{Subject: subject, Outcome: word(o), Statement: o.Statement})
		}
		out = append(out, told)
	}
	return out, nil
}

func (t *Told) saw(subject string) bool {
	for _, o := range t.Outcomes {
		if o.Subject == subject {
			return true
		}
	}
	return false
}

// tellAll puts the changes made to a base visit into words. What is at a place is
// told as it is when the change is made.
func tellAll(bases map[string]any, v visit) []string {
	out := []string{}
	doc := copyOf(bases[v.base])
	for _, c := range v.changes {
		out = append(out, c.tell(doc))
		next, err := c.apply(doc)
		if err != nil {
			break // the example cannot be built, which is said elsewhere
		}
		doc = next
	}
	return out
}

// tell says a change in words.
func (c change) tell(doc any) string {
	place := spoken.Place(doc, c.path)
	switch c.op {
	case "remove":
		return place + " is left out"
	case "add":
		if last := c.path[len(c.path)-1]; strings.Trim(last, "-0123456789") == "" {
			return "one more of " + spoken.Place(doc, c.path[:len(c.path)-1]) + ": " + plain(c.to)
		}
		return place + " is added: " + plain(c.to)
	}
	text := place + " is " + plain(c.to)
	if was, ok := lookUp(doc, c.path); ok && isPlain(was) {
		text += ", not " + plain(was)
	}
	return text
}

func lookUp(doc any, path []string) (any, bool) {
	for _, token := range path {
		switch v := doc.(type) {
		case map[string]any:
			inner, ok := v[token]
			if !ok {
				return nil, false
			}
			doc = inner
		case []any:
			i := 0
			if _, err := fmt.Sscanf(token, "%d", &i); err != nil || i < 0 || i >= len(v) {
				return nil, false
			}
			doc = v[i]
		default:
			return nil, false
		}
	}
	return doc, true
}

func isPlain(v any) bool {
	switch v.(type) {
	case map[string]any, []any:
		return false
	}
	return true
}

// plain is a value as people read it: an object as its members, in order of name.
func plain(v any) string {
	if text, ok := v.(string); ok && text != "" {
		return text
	}
	data, err := json.Marshal(v)
	if err != nil {
		return fmt.Sprint(v)
	}
	return string(data)
}

// Bases builds a case of each base visit as it is, sorted by name. One that would be
// refused is an error.
func (r *Runner) Bases() ([]Case, error) {
	bases, err := r.bases()
	if err != nil {
		return nil, err
	}
	var out []Case
	for _, name := range slices.Sorted(maps.Keys(bases)) {
		e := example{name: name, visit: visit{base: name}}
		c, err := r.build(e)
		if err != nil {
			return nil, fmt.Errorf("reading base visit %q: %w", name, err)
		}
		out = append(out, Case{Name: name, Case: c, from: e})
	}
	return out, nil
}
