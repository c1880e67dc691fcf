// Package policies_test compares the helpers that the rules of a release share
// with values from outside: testdata/published says where each was read. The
// release is evaluated by stock OPA, with nothing of this project but its files.
package policies_test

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"testing"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/loader"
	"github.com/open-policy-agent/opa/v1/rego"
	"github.com/open-policy-agent/opa/v1/storage/inmem"
	"go.yaml.in/yaml/v3"
)

// underTest is the release whose helpers are compared.
const underTest = "1.0.0"

// statuses are the words by which testdata/published says how far a value can be
// relied on.
var statuses = []string{"seen", "seen-second-hand", "calculated", "from memory", "common practice"}

// published decodes a file of testdata/published into v.
func published(t *testing.T, name string, v any) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "testdata", "published", name))
	if err != nil {
		t.Fatal(err)
	}
	if filepath.Ext(name) == ".json" {
		err = json.Unmarshal(data, v)
	} else {
		err = yaml.Unmarshal(data, v)
	}
	if err != nil {
		t.Fatalf("reading %s: %v", name, err)
	}
}

// A decimal is a number as a file writes it, so that 45.4500 is exactly that.
type decimal string

// UnmarshalJSON keeps the text of a JSON number.
func (d *decimal) UnmarshalJSON(b []byte) error {
	var n json.Number
	if err := json.Unmarshal(b, &n); err != nil {
		return err
	}
	*d = decimal(n)
	return nil
}

// rat returns the decimal exactly.
func (d decimal) rat() *big.Rat {
	r, ok := new(big.Rat).SetString(string(d))
	if !ok {
		panic(fmt.Sprintf("%q is not a number", string(d)))
	}
	return r
}

// float returns the nearest float64.
func (d decimal) float() float64 {
	f, _ := d.rat().Float64()
	return f
}

// number returns the decimal as the rules are given numbers.
func (d decimal) number() json.Number { return json.Number(d) }

// fraction is a ratio of whole numbers as a file writes it.
type fraction struct {
	Num decimal `yaml:"num"`
	Den decimal `yaml:"den"`
}

func (f fraction) rat() *big.Rat { return new(big.Rat).Quo(f.Num.rat(), f.Den.rat()) }

// A release answers queries about the helpers of a rule set.
type release struct {
	compiler *ast.Compiler
	data     map[string]any

	mu       sync.Mutex
	prepared map[string]rego.PreparedEvalQuery
}

var loaded = sync.OnceValues(func() (*release, error) {
	// Rules and examples are left out: the helpers stand on their own.
	filter := func(_ string, info fs.FileInfo, depth int) bool {
		return depth == 1 && info.IsDir() && info.Name() != "shared"
	}
	files, err := loader.NewFileLoader().Filtered([]string{underTest}, filter)
	if err != nil {
		return nil, err
	}
	compiler, err := files.Compiler()
	if err != nil {
		return nil, err
	}
	return &release{compiler: compiler, data: files.Documents, prepared: map[string]rego.PreparedEvalQuery{}}, nil
})

// helpers returns the release under test.
func helpers(t *testing.T) *release {
	t.Helper()
	r, err := loaded()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// batchSize is how many cases one evaluation takes. The evaluator remembers every
// function call of an evaluation in a map whose hashes of large numbers are all
// alike, so that many cases at once take time that grows with their square.
const batchSize = 50

// each evaluates an expression over c for every case and returns the answers in
// order. A case without an answer, or with two, fails the test.
func (r *release) each(t *testing.T, expression string, cases []map[string]any) []any {
	t.Helper()
	return r.solve(t, "x := "+expression, cases)
}

// solve is each for a body of several expressions that ends by giving x a value.
func (r *release) solve(t *testing.T, expression string, cases []map[string]any) []any {
	t.Helper()
	query := fmt.Sprintf("answers := [[i, x] | some i, c in input.cases; %s]", expression)
	r.mu.Lock()
	prepared, ok := r.prepared[query]
	if !ok {
		var err error
		prepared, err = rego.New(
			rego.Query(query),
			rego.Compiler(r.compiler),
			rego.Store(inmem.NewFromObjectWithOpts(r.data, inmem.OptReturnASTValuesOnRead(true))),
			rego.StrictBuiltinErrors(true),
		).PrepareForEval(t.Context())
		if err != nil {
			r.mu.Unlock()
			t.Fatalf("preparing %s: %v", expression, err)
		}
		r.prepared[query] = prepared
	}
	r.mu.Unlock()
	out := make([]any, 0, len(cases))
	for batch := range slices.Chunk(cases, batchSize) {
		results, err := prepared.Eval(t.Context(), rego.EvalInput(map[string]any{"cases": batch}))
		if err != nil {
			t.Fatalf("evaluating %s: %v", expression, err)
		}
		if len(results) != 1 {
			t.Fatalf("evaluating %s: %d results", expression, len(results))
		}
		answers := results[0].Bindings["answers"].([]any)
		for n, c := range batch {
			if n < len(answers) {
				pair := answers[n].([]any)
				if pair[0] == json.Number(strconv.Itoa(n)) {
					out = append(out, pair[1])
					continue
				}
			}
			t.Fatalf("%s: no answer, or more than one, for %v", expression, c)
		}
		if len(answers) > len(batch) {
			t.Fatalf("%s: more than one answer for %v", expression, batch[len(batch)-1])
		}
	}
	return out
}

// one evaluates an expression over c for one case.
func (r *release) one(t *testing.T, expression string, c map[string]any) any {
	t.Helper()
	return r.each(t, expression, []map[string]any{c})[0]
}

// ratOf reads a pair [numerator, denominator] that a helper returned. Both must
// be whole and the denominator above zero.
func ratOf(t *testing.T, answer any) *big.Rat {
	t.Helper()
	pair, ok := answer.([]any)
	if !ok || len(pair) != 2 {
		t.Fatalf("%v is not a pair", answer)
	}
	num, den := intOf(t, pair[0]), intOf(t, pair[1])
	if den.Sign() <= 0 {
		t.Fatalf("%v: denominator not above zero", answer)
	}
	return new(big.Rat).SetFrac(num, den)
}

// intOf reads a whole number that a helper returned.
func intOf(t *testing.T, answer any) *big.Int {
	t.Helper()
	n, ok := answer.(json.Number)
	if !ok {
		t.Fatalf("%v (%T) is not a number", answer, answer)
	}
	r, ok := new(big.Rat).SetString(n.String())
	if !ok || !r.IsInt() {
		t.Fatalf("%v is not a whole number", answer)
	}
	return new(big.Int).Set(r.Num())
}

// pairOf writes an exact number as the pair that the helpers take.
func pairOf(r *big.Rat) []any {
	return []any{json.Number(r.Num().String()), json.Number(r.Denom().String())}
}

// near reports whether a and b differ by at most tolerance.
func near(a, b, tolerance *big.Rat) bool {
	d := new(big.Rat).Sub(a, b)
	return d.Abs(d).Cmp(tolerance) <= 0
}

// TestPublishedStatus holds every value in testdata/published to the words that
// say how far it can be relied on, and every file to a source and how it was made.
func TestPublishedStatus(t *testing.T) {
	names, err := filepath.Glob(filepath.Join("..", "testdata", "published", "*.yaml"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no published values: %v", err)
	}
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			var file map[string]any
			published(t, filepath.Base(name), &file)
			sources, ok := file["sources"].(map[string]any)
			if !ok || file["about"] == nil || file["made"] == nil {
				t.Fatal("about, sources or made is missing")
			}
			found := 0
			var walk func(at string, v any)
			walk = func(at string, v any) {
				switch v := v.(type) {
				case map[string]any:
					if s, ok := v["status"]; ok {
						found++
						if word, ok := s.(string); !ok || !slices.Contains(statuses, word) {
							t.Errorf("%s: status %v is not one of %v", at, s, statuses)
						}
					}
					if s, ok := v["source"].(string); ok && sources[s] == nil {
						t.Errorf("%s: source %q is not among the sources", at, s)
					}
					for k, x := range v {
						walk(at+"/"+k, x)
					}
				case []any:
					for i, x := range v {
						walk(fmt.Sprintf("%s/%d", at, i), x)
					}
				}
			}
			walk("", file)
			if found == 0 {
				t.Error("no status anywhere")
			}
		})
	}
}
