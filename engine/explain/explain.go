// Package explain says of one rule of a release what it asks for, by which limits and
// fields of the record it decides, how it answers its examples, and in which releases
// it changed. Start at [Rule]. The package judges nothing but the examples.
package explain

import (
	"context"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/agnivade/levenshtein"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/reads"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Release is one release to look into.
type Release struct {
	Entry ruleset.Release // zero for a folder that nobody lists
	Files fs.FS           // its own folder
	Set   *ruleset.Set    // without native functions
}

// Explanation is all that a release says of one rule.
type Explanation struct {
	Release string       `json:"release"`
	Digest  string       `json:"digest"`
	Rule    ruleset.Rule `json:"rule"`
	Limits  []Limit      `json:"limits"`
	// Fields are read of the visit itself, Earlier of the visits it is compared
	// with.
	Fields  []Field `json:"fields"`
	Earlier []Field `json:"earlier"`
	// ClassNumbers are numbers of the classes of machines: where the rule takes rows by a word
	// in them, as it does by the group of a range, those rows alone.
	ClassNumbers []ClassNumber `json:"class_numbers"`
	// Class are what else is read of the class of machine, Steps of the steps, dotted, *
	// for each element.
	Class []string `json:"class"`
	Steps []string `json:"steps"`
	// AnyInstrument tells that the least kind of instrument for a quantity is read.
	AnyInstrument bool            `json:"least_kind_of_instrument"`
	Examples      []examples.Told `json:"examples"`
	History       []Change        `json:"history"`
}

// Limit is one limit that a rule reads, each bound as it is written.
type Limit struct {
	Name    string `json:"name"` // such as battery.full_charge_gravity
	Title   string `json:"title"`
	Min     string `json:"min,omitempty"`
	Max     string `json:"max,omitempty"`
	Unit    string `json:"unit"`
	Symbol  string `json:"symbol,omitempty"` // of the unit, as it is printed
	Place   string `json:"place"`
	Decided string `json:"decided"` // direct, rounded or guarded
	Mark    string `json:"mark"`
	Source  string `json:"source"`
	Note    string `json:"note,omitempty"`
}

// Field is a place in a record that a rule reads.
type Field struct {
	Pointer string   `json:"pointer"` // JSON pointer, * for each element of an array
	About   string   `json:"about"`   // what the schema says of it
	Slots   []string `json:"slots,omitempty"`
}

// Rule explains one rule of the release. Of the releases given, in ascending order of
// version, it says in which the rule changed; they may be none. A name that no rule
// has is an error of type [*UnknownError].
func Rule(ctx context.Context, of Release, name string, decoder *record.Decoder, all []Release) (*Explanation, error) {
	rule, ok := of.Set.Rule(name)
	if !ok {
		return nil, Unknown(of.Set, name)
	}
	found, err := reads.Find(of.Set)
	if err != nil {
		return nil, err
	}
	runner, err := examples.New(of.Files, of.Set, decoder)
	if err != nil {
		return nil, err
	}
	told, err := runner.Tell(ctx, name)
	if err != nil {
		return nil, err
	}
	x := &Explanation{Release: of.Set.Version(), Digest: of.Set.Digest(), Rule: rule, Examples: told,
		Limits: []Limit{}, Fields: []Field{}, Earlier: []Field{}, ClassNumbers: []ClassNumber{}, Class: []string{}, Steps: []string{}}
	paths := found.Rule(name).Paths
	x.sort(of.Set, found, paths)
	if err := x.classes(of.Set, found, paths); err != nil {
		return nil, err
	}
	x.History, err = history(all, name)
	return x, err
}

// sort puts what is read where it belongs.
func (x *Explanation) sort(set *ruleset.Set, found *reads.Reads, paths []reads.Path) {
	for _, p := range readings(paths) {
		switch {
		case p.Under("input", "visit"):
			x.Fields = append(x.Fields, Field{Pointer: pointer(p[2:]), About: found.About(p)})
		case p.Under("input", "earlier"):
			x.earlier(found, p)
		case p.Under("input"):
			x.Fields = append(x.Fields, Field{Pointer: "(" + p[1] + ")", About: found.About(p)})
		case p.Under("data", "limits", "instruments"):
			x.AnyInstrument = true
		case p.Under("data", "limits") && len(p) > 3:
			name := p[2] + "." + p[3]
			if !slices.ContainsFunc(x.Limits, func(l Limit) bool { return l.Name == name }) {
				x.Limits = append(x.Limits, limit(set, p[2], p[3]))
			}
		case p.Under("data", "steps") && len(p) > 3:
			x.Steps = appendNew(x.Steps, p[3:].String())
		}
	}
	slices.Sort(x.Steps)
}

// earlier adds what is read of an earlier visit, or of what earlier visits left open.
func (x *Explanation) earlier(found *reads.Reads, p reads.Path) {
	if len(p) < 3 {
		return
	}
	slot, rest := p[2], p[3:]
	if slot == "last_services" && len(rest) > 1 && rest[1] == "visit" {
		rest = rest[2:]
	} else if len(rest) > 0 && rest[0] == "*" {
		rest = rest[1:]
	}
	at := pointer(rest)
	for i := range x.Earlier {
		if x.Earlier[i].Pointer == at {
			x.Earlier[i].Slots = appendNew(x.Earlier[i].Slots, slot)
			return
		}
	}
	x.Earlier = append(x.Earlier, Field{Pointer: at, About: found.About(p), Slots: []string{slot}})
}

func appendNew(list []string, word string) []string {
	if slices.Contains(list, word) {
		return list
	}
	return append(list, word)
}

// readings puts a reading as a whole in the place of its value, unit and instrument.
func readings(paths []reads.Path) []reads.Path {
	has := map[string]bool{}
	for _, p := range paths {
		has[strings.Join(p, "\x00")] = true
	}
	var out []reads.Path
	for _, p := range paths {
		parent := p[:len(p)-1]
		key := strings.Join(parent, "\x00")
		if p.Under("input") && has[key+"\x00value"] && has[key+"\x00unit"] {
			p = parent
		}
		if len(out) == 0 || !slices.Equal(out[len(out)-1], p) {
			out = append(out, p)
		}
	}
	return out
}

// pointer is a JSON pointer (RFC 6901) to what a path leads to.
func pointer(tokens []string) string {
	var b strings.Builder
	for _, t := range tokens {
		b.WriteString("/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(t))
	}
	return b.String()
}

func limit(set *ruleset.Set, area, name string) Limit {
	limits, _ := set.Data()["limits"].(map[string]any)
	of, _ := limits[area].(map[string]any)
	fields, _ := of[name].(map[string]any)
	text := func(field string) string {
		if v, ok := fields[field]; ok {
			return fmt.Sprint(v)
		}
		return ""
	}
	return Limit{
		Name: area + "." + name, Title: text("title"), Min: text("min"), Max: text("max"), Unit: text("unit"), Symbol: symbol(set, text("unit")),
		Place: text("place"), Decided: text("decided"), Mark: text("mark"), Source: text("source"), Note: text("note"),
	}
}

// UnknownError says that a release has no rule of a name.
type UnknownError struct {
	Release, Name string
	Near          []string // what may have been meant; may be empty
}

// Error says which rule there is none of, and what would mend it.
func (e *UnknownError) Error() string {
	mend := "see visitgauge rules list"
	if len(e.Near) > 0 {
		mend = "did you mean " + strings.Join(e.Near, " or ") + "?"
	}
	return fmt.Sprintf("release %s has no rule %q\n%s", e.Release, e.Name, mend)
}

// few is how many names are offered at most.
const few = 3

// Unknown is the error for a name that no rule has. It looks for the rules that may have been meant: those with the same last
// name, those whose name holds the word, else the nearest by spelling.
func Unknown(set *ruleset.Set, name string) error {
	e := &UnknownError{Release: set.Version(), Name: name}
	last := name[strings.LastIndexByte(name, '.')+1:]
	var near, holding []string
	best := len(last)/3 + 1
	for _, r := range set.Rules() {
		own := r.Name[strings.LastIndexByte(r.Name, '.')+1:]
		d := levenshtein.ComputeDistance(last, own)
		switch {
		case d < best:
			best, near = d, []string{r.Name}
		case d == best && len(near) > 0:
			near = append(near, r.Name)
		}
		if last != "" && strings.Contains(own, last) {
			holding = append(holding, r.Name)
		}
	}
	if best > 0 {
		near = append(near, holding...)
	}
	for _, n := range near {
		e.Near = appendNew(e.Near, n)
	}
	e.Near = e.Near[:min(few, len(e.Near))]
	return e
}
