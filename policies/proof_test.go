package policies_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v5"
	"golang.org/x/sync/errgroup"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

// A bench is the newest of what is released, ready to judge. It is shared by the tests that
// judge thousands of records, with native helpers for speed; TestStock holds
// those against the release's own Rego.
type bench struct {
	release string // folder
	set     *ruleset.Set
	judge   *judge.Judge
	visits  *jsonschema.Schema
	decoder *record.Decoder
}

var openBench = sync.OnceValues(func() (*bench, error) {
	releases, err := ruleset.ReadReleases(os.DirFS("."))
	if err != nil {
		return nil, err
	}
	newest, err := releases.Newest()
	if err != nil {
		return nil, err
	}
	release := newest.Version
	// Thousands of records are judged, each in memory that is soon free again.
	debug.SetGCPercent(400)
	ctx := context.Background()
	set, err := ruleset.Load(ctx, os.DirFS(release), ruleset.Options{Version: release, Native: true})
	if err != nil {
		return nil, err
	}
	visits, err := schema.Compile("visit")
	if err != nil {
		return nil, err
	}
	j, err := judge.New(ctx, set)
	if err != nil {
		return nil, err
	}
	return &bench{release: release, set: set, judge: j, visits: visits, decoder: record.NewDecoder(visits, record.Limits{})}, nil
})

func newBench(t testing.TB) *bench {
	t.Helper()
	b, err := openBench()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A trial is a record with what it is judged with.
type trial struct {
	name     string
	doc      map[string]any
	earlier  history.Earlier
	received string
}

// bases are the spotless records of the release, one a class, each as it comes
// in the first time.
func (b *bench) bases(t testing.TB) []trial {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(b.release, "examples/base/*.json"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no base visits: %v", err)
	}
	var out []trial
	classes := map[string]bool{}
	for _, file := range files {
		for name, doc := range readJSON(t, file) {
			visit := doc.(map[string]any)
			classes[at(visit, "machine", "class").(string)] = true
			out = append(out, trial{name: name, doc: visit})
		}
	}
	for class := range b.set.Data()["classes"].(map[string]any) {
		if !classes[class] {
			t.Errorf("class %s has no spotless record", class)
		}
	}
	return out
}

// A demoVisit is a record of the demo as it comes in after those before it.
type demoVisit struct {
	trial
	record  *record.Record
	verdict *verdict.Verdict
}

// spotless reports whether the visit is accepted, the machine serviceable and
// nothing found at all.
func (v demoVisit) spotless() bool {
	return result{verdict: v.verdict}.passes() && v.verdict.Counts.Nonconforming.Total()+v.verdict.Counts.Indeterminate.Total() == 0
}

var judgeDemo = sync.OnceValues(func() ([]demoVisit, error) {
	b, err := openBench()
	if err != nil {
		return nil, err
	}
	var tracker history.Tracker
	var out []demoVisit
	for item := range record.NewReader([]string{"../testdata/demo"}, nil, record.Limits{}).All() {
		if item.Err != nil {
			return nil, item.Err
		}
		rec, err := b.decoder.Decode(item.Source, item.FirstLine, item.Data)
		var problems record.Problems
		if errors.As(err, &problems) {
			continue // the demo holds a file that is no record
		}
		if err != nil {
			return nil, err
		}
		v := demoVisit{record: rec}
		v.name, v.doc, v.earlier = rec.ID(), rec.Value(), tracker.Earlier(rec)
		tracker.Add(rec)
		if v.verdict, err = b.judge.Judge(context.Background(), judge.Case{Record: rec, Earlier: v.earlier}); err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
})

// demo is every record of the demo, judged in the order of the visits.
func demo(t testing.TB) []demoVisit {
	t.Helper()
	visits, err := judgeDemo()
	if err != nil {
		t.Fatal(err)
	}
	if len(visits) < 30 {
		t.Fatalf("the demo has %d visits", len(visits))
	}
	return visits
}

// each runs a test for every trial, as a subtest of its name. It reports whether
// all of them were run, and none left out by -run.
func each(t *testing.T, trials []trial, test func(t *testing.T, like trial)) bool {
	ran := 0
	for _, like := range trials {
		t.Run(like.name, func(t *testing.T) {
			ran++
			test(t, like)
		})
	}
	return ran == len(trials)
}

// A change is a record made from another.
type change struct {
	pattern string // what was changed: a JSON pointer with * for every index
	pointer string
	kind    string // in words, for lists and messages
	was     any    // what stood there
	doc     map[string]any
}

// A result is what came of a changed record: refused by the decoder, or judged.
type result struct {
	change
	refused bool
	verdict *verdict.Verdict
}

// passes reports whether the record is accepted with the machine serviceable.
func (r result) passes() bool {
	return r.verdict != nil && r.verdict.Acceptance.Value == verdict.Accepted && r.verdict.Serviceability == verdict.Serviceable
}

// every asks the many-fold proofs for all changes. The removals from the spotless
// records are always all tried; of the rest an ordinary run tries one in ten,
// since all of them take the better part of an hour.
var every = flag.Bool("every", false, "try every change of the many-fold proofs")

// some picks the changes that an ordinary run tries.
func some(changes []change) []change {
	if *every {
		return changes
	}
	return oneIn(10, changes)
}

// oneIn picks every n-th change, the first among them.
func oneIn(n int, changes []change) []change {
	var picked []change
	for i := 0; i < len(changes); i += n {
		picked = append(picked, changes[i])
	}
	return picked
}

// try judges every changed record as the trial is judged, on all processors;
// under the race detector, a few of them.
func (b *bench) try(t testing.TB, like trial, changes []change) []result {
	t.Helper()
	if raceDetector {
		changes = oneIn(40, changes)
	}
	results := make([]result, len(changes))
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, c := range changes {
		g.Go(func() error {
			r, err := b.one(t.Context(), like, c)
			if err != nil {
				return fmt.Errorf("%s: %s %s: %w", like.name, c.kind, c.pointer, err)
			}
			results[i] = r
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		t.Fatal(err)
	}
	return results
}

func (b *bench) one(ctx context.Context, like trial, c change) (result, error) {
	r := result{change: c}
	// The decoder refuses what does not keep to the schema. Asking the schema alone
	// spares the words in which the decoder would say so.
	if b.visits.Validate(c.doc) != nil {
		r.refused = true
		return r, nil
	}
	data, err := json.Marshal(c.doc)
	if err != nil {
		return r, err
	}
	rec, err := b.decoder.Decode(like.name, 1, data)
	var problems record.Problems
	if errors.As(err, &problems) {
		r.refused = true
		return r, nil
	}
	if err != nil {
		return r, err
	}
	r.verdict, err = b.judge.Judge(ctx, judge.Case{Record: rec, Earlier: like.earlier, Received: like.received})
	return r, err
}

// A spot is one field or array element of a document.
type spot struct {
	path  []any // names and indices
	value any
}

// spots are all fields and array elements below v, in a fixed order.
func spots(v any) []spot {
	var out []spot
	var walk func(path []any, v any)
	add := func(path []any, key, v any) {
		path = append(slices.Clip(path), key)
		out = append(out, spot{path, v})
		walk(path, v)
	}
	walk = func(path []any, v any) {
		switch v := v.(type) {
		case map[string]any:
			for _, name := range slices.Sorted(maps.Keys(v)) {
				add(path, name, v[name])
			}
		case []any:
			for i, e := range v {
				add(path, i, e)
			}
		}
	}
	walk(nil, v)
	return out
}

// last is the name of a field; empty for an element.
func (p spot) last() string {
	name, _ := p.path[len(p.path)-1].(string)
	return name
}

func (p spot) pointer() string { return p.written(strconv.Itoa) }

func (p spot) pattern() string { return p.written(func(int) string { return "*" }) }

func (p spot) written(index func(int) string) string {
	var out strings.Builder
	for _, k := range p.path {
		out.WriteByte('/')
		switch k := k.(type) {
		case int:
			out.WriteString(index(k))
		case string:
			out.WriteString(strings.NewReplacer("~", "~0", "/", "~1").Replace(k))
		}
	}
	return out.String()
}

// removed is the document without the place; the document itself stays whole.
func (p spot) removed(doc map[string]any) change {
	return change{pattern: p.pattern(), pointer: p.pointer(), kind: "removed", was: p.value, doc: edit(doc, p.path, nil, true).(map[string]any)}
}

// set is the document with another value in the place.
func (p spot) set(doc map[string]any, kind string, value any) change {
	return change{pattern: p.pattern(), pointer: p.pointer(), kind: kind, was: p.value, doc: edit(doc, p.path, value, false).(map[string]any)}
}

// edit copies what lies on the path, and shares the rest.
func edit(v any, path []any, value any, remove bool) any {
	if len(path) == 0 {
		return value
	}
	switch key := path[0].(type) {
	case string:
		out := maps.Clone(v.(map[string]any))
		if remove && len(path) == 1 {
			delete(out, key)
		} else {
			out[key] = edit(out[key], path[1:], value, remove)
		}
		return out
	case int:
		out := slices.Clone(v.([]any))
		if remove && len(path) == 1 {
			return slices.Delete(out, key, key+1)
		}
		out[key] = edit(out[key], path[1:], value, remove)
		return out
	}
	panic("a path holds names and indices")
}

// at looks a value up by names; nil if it is not there.
func at(v any, names ...string) any {
	for _, name := range names {
		object, _ := v.(map[string]any)
		v = object[name]
	}
	return v
}

func readJSON(t testing.TB, file string) map[string]any {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var doc map[string]any
	if err := dec.Decode(&doc); err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return doc
}
