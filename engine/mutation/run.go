package mutation

import (
	"cmp"
	"context"
	"fmt"
	"io/fs"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"github.com/open-policy-agent/opa/v1/ast"
	"golang.org/x/sync/errgroup"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Options say which changes are tried. The zero value tries all.
type Options struct {
	// Kinds are the kinds to try; none means all.
	Kinds []Kind
	// Rules runs the examples of these rules alone and tries what only they can
	// notice, and the numbers that they read; none means all. The entries of
	// unnoticed.yaml are then not held to be needed.
	Rules []string
	// Progress is told how many of how many changes are through. It may be called
	// from several goroutines, one at a time. May be nil.
	Progress func(done, of int)
}

func (o Options) wants(k Kind) bool { return len(o.Kinds) == 0 || slices.Contains(o.Kinds, k) }

// wantsSwitches tells whether anything but numbers is changed.
func (o Options) wantsSwitches() bool { return o.wants(Comparison) || o.wants(Source) || o.wants(Body) }

// trial is one release under trial.
type trial struct {
	set     *ruleset.Set
	depends map[string]*dependence // by rule
	wired   *ast.Compiler
	sites   []site
	moves   []move
	unsaid  int
	rules   []string
	cases   []*examples.Question
	feels   [][]int32          // by switch: the cases in which it would make a difference
	reads   map[string][]int32 // by path read: the cases that read it
	cost    []time.Duration    // of each case
	workers chan *worker
}

// Run tries the changes on a release and the examples of the runner, which must
// all be met: what is not met as it is can notice nothing. The set must be without
// native functions, and the runner have run the examples and kept them.
func Run(ctx context.Context, release fs.FS, set *ruleset.Set, runner *examples.Runner, opt Options) (*Result, error) {
	listed, err := readListed(release)
	if err != nil {
		return nil, err
	}
	t := &trial{set: set, rules: opt.Rules, reads: map[string][]int32{}}
	if len(t.rules) == 0 {
		t.rules = runner.Rules()
	}
	for _, rule := range t.rules {
		cases, err := runner.Questions(ctx, rule)
		if err != nil {
			return nil, err
		}
		t.cases = append(t.cases, cases...)
	}
	t.depends = map[string]*dependence{}
	for _, rule := range runner.Rules() {
		t.depends[rule] = newDependence(set.Compiler(), rule)
	}
	if t.wired = set.Compiler(); opt.wantsSwitches() {
		if err := t.wire(release); err != nil {
			return nil, err
		}
	}
	if opt.wants(Limit) {
		all, err := moves(release)
		if err != nil {
			return nil, err
		}
		for _, m := range all {
			if mine, others := t.readBy(m); mine || !others {
				t.moves = append(t.moves, m)
			}
		}
	}
	n := runtime.GOMAXPROCS(0)
	t.workers = make(chan *worker, n)
	for range n {
		w, err := t.newWorker()
		if err != nil {
			return nil, err
		}
		t.workers <- w
	}
	if err := t.listen(ctx); err != nil {
		return nil, err
	}
	return t.hunt(ctx, listed, opt)
}

// wire compiles the rules with switches in them.
func (t *trial) wire(release fs.FS) error {
	w := &wiring{judged: t.judged}
	modules := map[string]*ast.Module{}
	var files []string
	for file := range t.set.Compiler().Modules {
		files = append(files, file)
	}
	slices.Sort(files)
	for _, file := range files {
		source, err := fs.ReadFile(release, file)
		if err != nil {
			return fmt.Errorf("reading %s: %w", file, err)
		}
		m, err := ast.ParseModuleWithOpts(file, string(source), ast.ParserOptions{RegoVersion: ast.RegoV1})
		if err != nil {
			return fmt.Errorf("reading %s: %w", file, err)
		}
		modules[file] = w.module(file, m)
	}
	c := ast.NewCompiler().
		WithCapabilities(ruleset.Capabilities(declarations()...)).
		WithSkipStages(ast.StageCheckTypes, ast.StageCheckRecursion, ast.StageCheckUnsafeBuiltins, ast.StageCheckDeprecatedBuiltins, ast.StageBuildRequiredCapabilities)
	if c.Compile(modules); c.Failed() {
		return fmt.Errorf("compiling the rules with switches in them: %w", c.Errors)
	}
	t.wired, t.sites, t.unsaid = c, w.sites, w.unsaid
	return nil
}

// judged tells of a rule or helper, by its place, whether outcomes can depend on it,
// and whether only those of the rules whose examples are run can.
func (t *trial) judged(at *ast.Location) (any, mine bool) {
	mine = true
	for rule, d := range t.depends {
		if d.places[placeOf(at)] {
			any = true
			mine = mine && slices.Contains(t.rules, rule)
		}
	}
	return any, any && mine
}

// readBy tells whether a number is read by a rule whose examples are run, and
// whether others read it.
func (t *trial) readBy(m move) (mine, others bool) {
	for rule, d := range t.depends {
		if slices.ContainsFunc(m.paths, d.reads) {
			if slices.Contains(t.rules, rule) {
				mine = true
			} else {
				others = true
			}
		}
	}
	return mine, others
}

// worker asks rules, one question at a time.
type worker struct {
	board *board
	shelf *shelf
	set   *ruleset.Set
	asked map[string]*judge.Outcomes

	// These answer sooner, but tell nobody what they read of the data. The first
	// knows of no number that was moved, the second is told where they stand.
	planned, apart *judge.Planned
	// unplannable is true for rules that cannot be planned; OPA's evaluator answers.
	unplannable bool
}

func (t *trial) newWorker() (*worker, error) {
	b := &board{thrown: none}
	s := newShelf(t.set.Data())
	return &worker{board: b, shelf: s, set: t.set.Variant(t.wired, s, b.options()...), asked: map[string]*judge.Outcomes{}}, nil
}

// meets puts a case before its rule and tells whether it answers as expected. A
// rule that fails does not.
func (w *worker) meets(ctx context.Context, c *examples.Question, planned *judge.Planned) (bool, error) {
	ask := w.asked[c.Rule]
	if ask == nil {
		var err error
		if ask, err = judge.NewOutcomes(ctx, w.set, c.Rule); err != nil {
			return false, err
		}
		w.asked[c.Rule] = ask
	}
	var got []verdict.Outcome
	var err error
	if planned != nil {
		got, err = ask.By(ctx, planned, c.In)
	} else {
		got, err = ask.Of(ctx, c.In, nil)
	}
	if err := ctx.Err(); err != nil {
		return false, err
	}
	return err == nil && c.Met(got), nil
}

// plannedFor is the plan by which a worker tries a change, once that is made; nil where
// the rules cannot be planned.
func (t *trial) plannedFor(ctx context.Context, w *worker, c Change) (*judge.Planned, error) {
	if w.unplannable {
		return nil, nil
	}
	plan, made := judge.NewPlanned, &w.planned
	if c.Kind == Limit {
		plan, made = judge.NewPlannedApart, &w.apart
	}
	if *made == nil {
		var err error
		if *made, err = plan(context.WithoutCancel(ctx), w.set, t.rules); err != nil {
			w.unplannable = true
			return nil, nil
		}
	}
	if c.Kind != Limit {
		return w.planned, nil
	}
	data, err := w.shelf.all(ctx)
	if err != nil {
		return nil, err
	}
	return w.apart.On(data), nil
}

// listen runs every example as it is and notes which switches would make a
// difference, and which data are read.
func (t *trial) listen(ctx context.Context) error {
	t.feels = make([][]int32, len(t.sites))
	t.cost = make([]time.Duration, len(t.cases))
	var mu sync.Mutex
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(cap(t.workers))
	for i, c := range t.cases {
		group.Go(func() error {
			w := <-t.workers
			defer func() { t.workers <- w }()
			w.board.felt = make([]bool, len(t.sites))
			w.shelf.noting = true
			clear(w.shelf.read)
			began := time.Now()
			met, err := w.meets(ctx, c, nil)
			t.cost[i] = time.Since(began)
			felt := w.board.felt
			w.board.felt, w.shelf.noting = nil, false
			if err != nil {
				return err
			}
			if !met {
				return fmt.Errorf("trying changes on the release: the example %q of %s is not met as it is\nmend the example or the rule first", c.Name, c.Rule)
			}
			mu.Lock()
			defer mu.Unlock()
			places := t.depends[c.Rule].places
			for n, is := range felt {
				if is && places[t.sites[n].place] {
					t.feels[n] = append(t.feels[n], int32(i))
				}
			}
			for path := range w.shelf.read {
				t.reads[path] = append(t.reads[path], int32(i))
			}
			return nil
		})
	}
	return group.Wait()
}

// readers are the cases that read any of the paths, or what holds them.
func (t *trial) readers(paths [][]string) []int32 {
	var all []int32
	for _, p := range paths {
		for n := range len(p) + 1 {
			for _, i := range t.reads[storagePath(p[:n])] {
				if t.depends[t.cases[i].Rule].reads(p) {
					all = append(all, i)
				}
			}
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// hunt tries every change.
func (t *trial) hunt(ctx context.Context, listed *list, opt Options) (*Result, error) {
	type attempt struct {
		Change
		candidates []int32
		numbers    []string
		elsewhere  bool // where examples that were not run may notice it
		apply      func(ctx context.Context, w *worker) error
		undo       func(ctx context.Context, w *worker) error
		noticed    bool
	}
	var attempts []*attempt
	for _, m := range t.moves {
		a := &attempt{Change: m.Change, candidates: t.readers(m.paths), numbers: []string{m.plain.String(), m.to.String()}}
		_, a.elsewhere = t.readBy(m)
		a.apply = func(ctx context.Context, w *worker) error { return w.shelf.set(ctx, m.paths, m.to) }
		a.undo = func(ctx context.Context, w *worker) error { return w.shelf.set(ctx, m.paths, m.plain) }
		attempts = append(attempts, a)
	}
	for _, s := range t.sites {
		if !opt.wants(s.Kind) {
			continue
		}
		a := &attempt{Change: s.Change, candidates: t.feels[s.number]}
		a.apply = func(_ context.Context, w *worker) error { w.board.thrown = s.number; return nil }
		a.undo = func(_ context.Context, w *worker) error { w.board.thrown = none; return nil }
		attempts = append(attempts, a)
	}
	var done, runs atomic.Int64
	var mu sync.Mutex
	good := newMemory(len(t.cases))
	group, inner := errgroup.WithContext(ctx)
	group.SetLimit(cap(t.workers))
	for _, a := range attempts {
		group.Go(func() error {
			w := <-t.workers
			defer func() { t.workers <- w }()
			if err := a.apply(inner, w); err != nil {
				return err
			}
			planned, err := t.plannedFor(inner, w, a.Change)
			if err != nil {
				return err
			}
			for _, i := range good.order(a.Change, a.numbers, a.candidates, t) {
				runs.Add(1)
				met, err := w.meets(inner, t.cases[i], planned)
				if err != nil {
					return err
				}
				if !met {
					a.noticed = true
					good.note(a.Change, i)
					break
				}
			}
			if opt.Progress != nil {
				mu.Lock()
				opt.Progress(int(done.Add(1)), len(attempts))
				mu.Unlock()
			}
			return a.undo(context.WithoutCancel(inner), w)
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}

	result := &Result{Holes: []Hole{}, Listed: []Listed{}, Unneeded: []Unneeded{}, Unsaid: t.unsaid, Runs: int(runs.Load())}
	counts := map[Kind]*Count{}
	for _, k := range Kinds {
		counts[k] = &Count{Kind: k}
	}
	for _, a := range attempts {
		count := counts[a.Kind]
		count.Tried++
		if a.noticed {
			count.Noticed++
			continue
		}
		if a.elsewhere {
			count.Elsewhere++
			continue
		}
		if because, ok := listed.take(a.Change); ok {
			count.Listed++
			result.Listed = append(result.Listed, Listed{Change: a.Change, Because: because})
			continue
		}
		count.Holes++
		result.Holes = append(result.Holes, Hole{Change: a.Change, Ran: t.ran(a.candidates), Examples: len(a.candidates)})
	}
	for _, k := range Kinds {
		if opt.wants(k) {
			result.Counts = append(result.Counts, *counts[k])
		}
	}
	if len(opt.Rules) == 0 && len(opt.Kinds) == 0 {
		result.Unneeded = append(result.Unneeded, listed.unneeded()...)
	}
	slices.SortStableFunc(result.Holes, func(a, b Hole) int { return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line)) })
	slices.SortStableFunc(result.Listed, func(a, b Listed) int { return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line)) })
	return result, nil
}

// ran are the rules of cases, sorted.
func (t *trial) ran(cases []int32) []string {
	names := []string{}
	for _, i := range cases {
		names = append(names, t.cases[i].Rule)
	}
	slices.Sort(names)
	return slices.Compact(names)
}
