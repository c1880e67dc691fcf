package examples

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"sync"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/cover"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Runner runs the examples of one release. It may be used by several goroutines
// at once, for different rules.
type Runner struct {
	release fs.FS
	set     *ruleset.Set
	decoder *record.Decoder
	bases   func() (map[string]any, error)
	modules map[string]*ast.Module // rules and shared files as written, by file

	sources map[string][]byte
	sharing judge.Sharing

	mu     sync.Mutex
	shared map[string][]span      // what no rule reached so far, by shared file
	kept   map[string][]*Question // by rule whose examples were run
}

// New makes a runner for a release and the set that was loaded from it. The set
// must be one without native functions, which no line of a rule can reach into.
func New(release fs.FS, set *ruleset.Set, decoder *record.Decoder) (*Runner, error) {
	r := &Runner{release: release, set: set, decoder: decoder,
		modules: map[string]*ast.Module{}, sources: map[string][]byte{}, shared: map[string][]span{}, kept: map[string][]*Question{}}
	r.bases = sync.OnceValues(r.readBases)
	for file := range set.Compiler().Modules {
		source, err := fs.ReadFile(release, file)
		if err != nil {
			return nil, fmt.Errorf("reading %s: %w", file, err)
		}
		// The compiler rewrote its own modules; places are looked up in fresh ones.
		module, err := ast.ParseModule(file, string(source))
		if err != nil {
			return nil, fmt.Errorf("reading %s: %w", file, err)
		}
		r.modules[file], r.sources[file] = module, source
	}
	return r, nil
}

// Rules lists the rules of the release, sorted.
func (r *Runner) Rules() []string {
	var names []string
	for _, rule := range r.set.Rules() {
		names = append(names, rule.Name)
	}
	return names
}

// readBases reads the base visits, by name.
func (r *Runner) readBases() (map[string]any, error) {
	const folder = "examples/base"
	entries, err := fs.ReadDir(r.release, folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("listing base visits: %w", err)
	}
	bases := map[string]any{}
	for _, e := range entries {
		if path.Ext(e.Name()) != ".json" {
			continue
		}
		file := path.Join(folder, e.Name())
		data, err := fs.ReadFile(r.release, file)
		if err != nil {
			return nil, fmt.Errorf("reading base visit: %w", err)
		}
		dec := json.NewDecoder(strings.NewReader(string(data)))
		dec.UseNumber()
		var doc map[string]any
		if err := dec.Decode(&doc); err != nil {
			return nil, fmt.Errorf("reading %s: %w", file, err)
		}
		for name, v := range doc {
			bases[name] = v
		}
	}
	return bases, nil
}

// record makes the changes to a base visit and decodes what comes of it.
func (r *Runner) record(v visit) (*record.Record, error) {
	bases, err := r.bases()
	if err != nil {
		return nil, err
	}
	base, ok := bases[v.base]
	if !ok {
		return nil, at(v.line, "there is no base visit %q", v.base)
	}
	doc := copyOf(base)
	for _, c := range v.changes {
		if doc, err = c.apply(doc); err != nil {
			return nil, at(c.line, "%v", err)
		}
	}
	data, err := json.Marshal(doc)
	if err != nil {
		return nil, at(v.line, "writing the changed visit: %v", err)
	}
	rec, err := r.decoder.Decode("", 1, data)
	var problems record.Problems
	if errors.As(err, &problems) {
		lines := []string{"the changed visit would be refused"}
		for _, p := range problems {
			lines = append(lines, strings.TrimSuffix("  "+p.Pointer+": "+p.Message+"; "+p.Mend, "; "))
		}
		return nil, at(v.line, "%s", strings.Join(lines, "\n"))
	}
	if err != nil {
		return nil, at(v.line, "reading the changed visit: %v", err)
	}
	return rec, nil
}

// build makes the case that an example describes.
func (r *Runner) build(e example) (judge.Case, error) {
	c := judge.Case{Received: e.received}
	var err error
	if c.Record, err = r.record(e.visit); err != nil {
		return c, err
	}
	var tracker history.Tracker
	for _, v := range e.earlier {
		rec, err := r.record(v)
		if err != nil {
			return c, err
		}
		// An earlier visit that is compared with nothing makes an example that
		// shows something else than it says.
		switch {
		case rec.Serial() != c.Record.Serial():
			return c, at(v.line, "the earlier visit is of machine %q, the visit of %q", rec.Serial(), c.Record.Serial())
		case rec.ID() == c.Record.ID():
			return c, at(v.line, "the earlier visit has the id of the visit itself: set /id")
		case rec.Ended().After(c.Record.Started()):
			return c, at(v.line, "the earlier visit ends after the visit starts: set /started and /ended")
		}
		tracker.Add(rec)
	}
	c.Earlier = tracker.Earlier(c.Record)
	return c, nil
}

// Rule runs the examples of one rule. The error is for what keeps them from being
// run at all; what is wrong with the examples, or with the rule by them, stands
// in the result.
func (r *Runner) Rule(ctx context.Context, name string) (*Result, error) {
	result, questions, err := r.rule(ctx, name)
	if err != nil {
		return nil, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.kept[name] = questions
	return result, nil
}

func (r *Runner) rule(ctx context.Context, name string) (*Result, []*Question, error) {
	rule, ok := r.set.Rule(name)
	if !ok {
		return nil, nil, fmt.Errorf("release %s has no rule %q", r.set.Version(), name)
	}
	places := strings.Split(name, ".")
	result := &Result{
		Rule:     name,
		RuleFile: strings.Join(places, "/") + ".rego",
		File:     "examples/" + strings.Join(places, "/") + ".yaml",
	}
	data, err := fs.ReadFile(r.release, result.File)
	if errors.Is(err, fs.ErrNotExist) {
		result.add(0, "there are no examples")
		return result, nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("reading examples: %w", err)
	}
	list, err := parse(places[len(places)-1], data)
	if err != nil {
		result.add(0, "%v", err)
		return result, nil, nil
	}
	single, err := judge.NewSingle(ctx, r.set, name)
	if err != nil {
		return nil, nil, err
	}
	var questions []*Question
	tracer := cover.New()
	filled := newTexts(rule)
	for _, e := range list {
		outcome := Example{Name: e.name, Line: e.line}
		c, q, err := r.question(name, e)
		if err == nil {
			questions = append(questions, q)
			var answer *judge.Answer
			if answer, err = single.JudgePrepared(ctx, c, q.In, tracer); err == nil {
				e.compare(answer, &outcome, &result.Seen)
				filled.note(answer)
			}
		}
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		var placed *placedError
		switch {
		case errors.As(err, &placed):
			outcome.add(placed.line, "%s", placed.message)
		case err != nil:
			outcome.add(e.line, "%v", err)
		}
		for i := range outcome.Problems {
			outcome.Problems[i].File = result.File
		}
		result.Examples = append(result.Examples, outcome)
	}
	result.demand()
	filled.demand(result)
	r.reach(result, tracer)
	return result, questions, nil
}

// placedError is an error at a line of the examples file.
type placedError struct {
	line    int
	message string
}

func (e *placedError) Error() string { return fmt.Sprintf("line %d: %s", e.line, e.message) }

func at(line int, format string, args ...any) error {
	return &placedError{line: line, message: fmt.Sprintf(format, args...)}
}
