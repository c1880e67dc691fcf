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
	"github.com/visitgauge/visitgauge/engine/ruleset"
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

	// unplanned has OPA's evaluator answer every question.
	unplanned bool
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
	plans   *plans          // nil for rules that cannot be planned
	feels   [][]int32       // by switch: the cases in which it would make a difference
	cost    []time.Duration // of each case
	workers chan *worker
}

// Run tries the changes on a release and the examples of the runner, which must
// all be met: what is not met as it is can notice nothing. The set must be without
// native functions. Where the runner has run the examples, they are not made again.
func Run(ctx context.Context, release fs.FS, set *ruleset.Set, runner *examples.Runner, opt Options) (*Result, error) {
	listed, err := readListed(release)
	if err != nil {
		return nil, err
	}
	t, err := newTrial(ctx, release, set, runner, opt)
	if err != nil {
		return nil, err
	}
	if err := t.listen(ctx); err != nil {
		return nil, err
	}
	return t.hunt(ctx, listed, opt)
}

// newTrial lays out what is to be tried, and by whom.
func newTrial(ctx context.Context, release fs.FS, set *ruleset.Set, runner *examples.Runner, opt Options) (*trial, error) {
	t := &trial{set: set, rules: opt.Rules}
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
	ofVisit, err := classOfVisit(release, set.Compiler())
	if err != nil {
		return nil, err
	}
	t.depends = map[string]*dependence{}
	for _, rule := range runner.Rules() {
		t.depends[rule] = newDependence(set.Compiler(), rule, ofVisit)
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
		t.workers <- t.newWorker()
	}
	if !opt.unplanned {
		t.plans = t.newPlans(ctx, opt)
	}
	return t, nil
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
		m, err := parsed(release, file)
		if err != nil {
			return err
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

// parsed is a file of rules as it is written; the compiler has rewritten its own.
func parsed(release fs.FS, file string) (*ast.Module, error) {
	source, err := fs.ReadFile(release, file)
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", file, err)
	}
	m, err := ast.ParseModuleWithOpts(file, string(source), ast.ParserOptions{RegoVersion: ast.RegoV1})
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", file, err)
	}
	return m, nil
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

// listen runs every example as it is and notes which switches would make a difference.
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
			began := time.Now()
			met, err := w.meets(ctx, t, int32(i), t.asItIs)
			t.cost[i] = time.Since(began)
			felt := w.board.felt
			w.board.felt = nil
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
			return nil
		})
	}
	return group.Wait()
}

// readers are the cases of rules that can read any of the paths for their machine.
func (t *trial) readers(paths [][]string) []int32 {
	reads := map[[2]string]bool{}
	var all []int32
	for i, c := range t.cases {
		about := [2]string{c.Rule, c.Class}
		is, known := reads[about]
		if !known {
			is = slices.ContainsFunc(paths, func(p []string) bool { return t.depends[c.Rule].readsFor(c.Class, p) })
			reads[about] = is
		}
		if is {
			all = append(all, int32(i))
		}
	}
	return all
}

// hunt tries every change.
func (t *trial) hunt(ctx context.Context, listed *list, opt Options) (*Result, error) {
	type attempt struct {
		Change
		candidates []int32
		numbers    []string
		elsewhere  bool // where examples that were not run may notice it
		apply      func(ctx context.Context, w *worker) (asking, error)
		undo       func(ctx context.Context, w *worker) error
		noticed    bool
	}
	var attempts []*attempt
	for _, m := range t.moves {
		a := &attempt{Change: m.Change, candidates: t.readers(m.paths), numbers: []string{m.plain.String(), m.to.String()}}
		_, a.elsewhere = t.readBy(m)
		a.apply = func(ctx context.Context, w *worker) (asking, error) {
			if err := w.shelf.set(ctx, m.paths, m.to); err != nil {
				return nil, err
			}
			data, err := w.shelf.all(ctx)
			return t.moved(data), err
		}
		a.undo = func(ctx context.Context, w *worker) error { return w.shelf.set(ctx, m.paths, m.plain) }
		attempts = append(attempts, a)
	}
	for _, s := range t.sites {
		if !opt.wants(s.Kind) {
			continue
		}
		a := &attempt{Change: s.Change, candidates: t.feels[s.number]}
		ask := t.switched(t.restsOn(s.Rule))
		a.apply = func(_ context.Context, w *worker) (asking, error) { w.board.thrown = s.number; return ask, nil }
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
			ask, err := a.apply(inner, w)
			if err != nil {
				return err
			}
			for _, i := range good.order(a.Change, a.numbers, a.candidates, t) {
				runs.Add(1)
				met, err := w.meets(inner, t, i, ask)
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
