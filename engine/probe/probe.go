// Package probe finds, by asking the rules and never by reading a limit, at which
// values the numbers of one record turn an outcome, and which of its fields any
// outcome hangs on.
//
// Start at [New], then [Probe.Numbers] or [Probe.Fields]. Of each number or field only
// those rules are asked that read it themselves; what other rules make of their
// answers follows from these. Earlier visits stay as they are, except where a changed
// field decides which they are.
//
// What was searched is honest about itself: between two values that were tried and
// gave the same answers, nothing is looked for. Values are tried at distances from
// the one in the record that double (of a reading with one between), at those of its
// neighbours in the same field, and at the ends of what the schema allows. A band of
// values that is narrower than a third of its distance from the one in the record may
// not be seen.
package probe

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/reads"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Options say how a record is probed. The zero value asks all rules, one field at a
// time.
type Options struct {
	Rules   []string // only these, if any
	Workers int      // numbers or fields at a time; at least 1 is taken
	// Progress is told how many numbers or fields were probed so far, by one
	// goroutine at a time; may be nil.
	Progress func(done, of int)
	// Native is the same release loaded with native functions, which answers sooner; nil
	// for none.
	Native *ruleset.Set
	// Earlier chooses the visits that a record is compared with; nil for none.
	Earlier func(*record.Record) history.Earlier
}

// Probe probes one record. It is for one call at a time.
type Probe struct {
	set     *ruleset.Set
	decoder *record.Decoder
	of      judge.Case
	opt     Options
	reads   *reads.Reads
	doc     *judge.Document
	plan    *judge.Planned     // nil for rules that cannot be planned
	before  map[string]answers // of all rules to the record as it is, by rule

	mu      sync.Mutex
	partial map[string]func() (*judge.Partial, error) // by the names of their rules
	grids   map[string]func() (grid, error)           // by field and unit
	told    map[string]func() (*judge.Answer, error)  // by rule
}

// New makes a probe of a case under a release, whose set must be one without native
// functions. A rule that the release does not have is an error.
func New(ctx context.Context, set *ruleset.Set, decoder *record.Decoder, c judge.Case, opt Options) (*Probe, error) {
	p := &Probe{set: set, decoder: decoder, of: c, opt: opt, before: map[string]answers{},
		partial: map[string]func() (*judge.Partial, error){}, grids: map[string]func() (grid, error){}, told: map[string]func() (*judge.Answer, error){}}
	if len(p.opt.Rules) == 0 {
		for _, r := range set.Rules() {
			p.opt.Rules = append(p.opt.Rules, r.Name)
		}
	}
	var err error
	if p.reads, err = reads.Find(set); err != nil {
		return nil, err
	}
	if p.doc, err = judge.NewDocument(c); err != nil {
		return nil, err
	}
	answering := set
	if opt.Native != nil {
		answering = opt.Native
	}
	if answering.Digest() != set.Digest() {
		return nil, fmt.Errorf("probing by release %s: the release to answer with is another: %s", set.Digest(), answering.Digest())
	}
	if p.plan, err = judge.NewPlanned(context.WithoutCancel(ctx), answering, p.opt.Rules); err != nil {
		p.plan = nil // OPA's evaluator answers, in more time
	}
	if p.before, err = p.ask(ctx, p.opt.Rules, p.doc); err != nil {
		return nil, err
	}
	return p, nil
}

// answers are what a rule says, by subject, in words: conforming, nonconforming with
// its severity, indeterminate with its reason, not applicable. A rule that breaks its
// contract at a value is found too, and told as faulty.
type answers map[string]string

// ask is the one way in which rules are asked.
func (p *Probe) ask(ctx context.Context, rules []string, doc *judge.Document) (map[string]answers, error) {
	key := strings.Join(rules, " ")
	p.mu.Lock()
	prepare, ok := p.partial[key]
	if !ok {
		prepare = sync.OnceValues(func() (*judge.Partial, error) {
			return judge.NewPartial(ctx, p.set, p.plan, rules)
		})
		p.partial[key] = prepare
	}
	p.mu.Unlock()
	partial, err := prepare()
	if err != nil {
		return nil, err
	}
	out := map[string]answers{}
	outcomes, err := partial.Outcomes(ctx, doc)
	var fault *judge.Fault
	switch {
	case errors.As(err, &fault) && len(rules) == 1:
		out[rules[0]] = answers{"the rule": "faulty: " + fault.Error()}
		return out, nil
	case errors.As(err, &fault): // each alone shows which
		for _, rule := range rules {
			one, err := p.ask(ctx, []string{rule}, doc)
			if err != nil {
				return nil, err
			}
			out[rule] = one[rule]
		}
		return out, nil
	case err != nil:
		return nil, err
	}
	for _, rule := range rules {
		out[rule] = answers{}
	}
	for _, o := range outcomes {
		out[o.Rule][o.Subject] = word(o)
	}
	return out, nil
}

// word is an outcome in words.
func word(o verdict.Outcome) string {
	switch o.Outcome {
	case verdict.Nonconforming:
		return string(o.Outcome) + " (" + string(o.Severity) + ")"
	case verdict.Indeterminate:
		return string(o.Outcome) + " (" + string(o.Because) + ")"
	}
	return string(o.Outcome)
}

// notJudged is what is said of a subject that is none at another value.
const notJudged = "no subject"

func (a answers) of(subject string) string {
	if w, ok := a[subject]; ok {
		return w
	}
	return notJudged
}

func (a answers) equal(b answers) bool {
	if len(a) != len(b) {
		return false
	}
	for subject, w := range a {
		if b[subject] != w {
			return false
		}
	}
	return true
}

// a leaf is a single value of the record.
type leaf struct {
	tokens []string // of its JSON pointer
	path   reads.Path
	value  any // string, json.Number or bool
}

// pointer is the JSON pointer (RFC 6901) to the leaf.
func (l leaf) pointer() string { return pointer(l.tokens) }

func pointer(tokens []string) string {
	var b strings.Builder
	for _, t := range tokens {
		b.WriteString("/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(t))
	}
	return b.String()
}

// leaves lists the single values of a record, in order of their places.
func leaves(rec *record.Record) []leaf {
	var out []leaf
	var walk func(v any, tokens []string, path reads.Path)
	walk = func(v any, tokens []string, path reads.Path) {
		switch v := v.(type) {
		case map[string]any:
			names := make([]string, 0, len(v))
			for name := range v {
				names = append(names, name)
			}
			slices.Sort(names)
			for _, name := range names {
				walk(v[name], append(slices.Clip(tokens), name), append(slices.Clip(path), name))
			}
		case []any:
			for i, inner := range v {
				walk(inner, append(slices.Clip(tokens), strconv.Itoa(i)), append(slices.Clip(path), "*"))
			}
		default:
			out = append(out, leaf{tokens, path, v})
		}
	}
	walk(rec.Value(), nil, reads.Path{"input", "visit"})
	return out
}

// readers are the rules to be asked about a leaf.
func (p *Probe) readers(l leaf) []string {
	var out []string
	for _, rule := range p.reads.Readers(l.path) {
		if slices.Contains(p.opt.Rules, rule) {
			out = append(out, rule)
		}
	}
	return out
}

// altered is the record with another value at a leaf, or without it; nil if it would
// be refused.
func (p *Probe) altered(l leaf, value any, without bool) (*record.Record, error) {
	doc := alter(p.of.Record.Value(), l.tokens, value, without)
	data, err := json.Marshal(doc)
	if err != nil {
		return nil, fmt.Errorf("altering %s: %w", l.pointer(), err)
	}
	rec, err := p.decoder.Decode("", 1, data)
	if _, refused := err.(record.Problems); refused {
		return nil, nil
	}
	return rec, err
}

// alter copies what leads to a place and changes it there.
func alter(v any, tokens []string, value any, without bool) any {
	if len(tokens) == 0 {
		return value
	}
	last := len(tokens) == 1
	switch v := v.(type) {
	case map[string]any:
		out := make(map[string]any, len(v))
		for name, inner := range v {
			switch {
			case name != tokens[0]:
				out[name] = inner
			case !last || !without:
				out[name] = alter(inner, tokens[1:], value, without)
			}
		}
		return out
	case []any:
		i, _ := strconv.Atoi(tokens[0]) // it was made from an index
		out := slices.Clone(v)
		if last && without {
			return slices.Delete(out, i, i+1)
		}
		out[i] = alter(out[i], tokens[1:], value, without)
		return out
	}
	return v
}
