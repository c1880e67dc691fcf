package ruleset

import (
	"encoding/json"
	"flag"
	"fmt"
	"math/big"
	"math/rand/v2"
	"os"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/open-policy-agent/opa/v1/rego"
)

// An ordinary run tries four thousand values, for the Rego helpers take about a
// millisecond to answer all of a case; go test -run Native -million -timeout 2h
// tries a million.
var million = flag.Bool("million", false, "hold native helpers to the Rego ones on a million values, not four thousand")

// probe asks every helper that has a native implementation about each case.
const probe = `# METADATA
# title: A probe
# description: Asks each helper about each case.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.probe

import data.shared.exact

answers(c) := {
	"nano": exact.nano(c.v),
	"number": exact.number(c.v),
	"of": a,
	"difference": exact.difference(c.v, c.u),
	"at_least": exact.at_least(a, b),
	"above": exact.above(a, b),
	"add": exact.add(a, b),
	"subtract": exact.subtract(a, b),
	"times": exact.times(a, b),
	"over": exact.over(a, c.k),
	"size": data.shared.exact.size(exact.subtract(a, b)),
	"sum_of": exact.sum_of([a, b, a]),
	"sum_of_set": exact.sum_of({p | some p in [a, b]}),
	"sum_of_none": exact.sum_of([]),
	"greatest": exact.greatest([b, a, b]),
	"least": exact.least([b, a, b]),
	"half_even": exact.half_even(c.n, c.d),
	"rounded": exact.rounded(a, c.place),
} if {
	a := exact.of(c.v, c.u)
	b := exact.of(c.w, c.x)
}

nano(v) := exact.nano(v)

number(v) := exact.number(v)

of(v, unit) := exact.of(v, unit)

difference(v, unit) := exact.difference(v, unit)

at_least(a, b) := exact.at_least(a, b)

add(a, b) := exact.add(a, b)

times(a, b) := exact.times(a, b)

over(a, k) := exact.over(a, k)

size(a) := exact.size(a)

sum_of(pairs) := exact.sum_of(pairs)

greatest(pairs) := exact.greatest(pairs)

half_even(n, d) := exact.half_even(n, d)

rounded(a, place) := exact.rounded(a, place)
`

// asker answers a batch of cases by one query.
type asker func(cases []map[string]any) []any

func newAsker(t testing.TB, native bool) asker {
	t.Helper()
	release := copied(t, "../../policies/1.0.0")
	write(release, "shared/probe.rego", probe)
	set, err := Load(t.Context(), release, Options{Native: native})
	if err != nil {
		t.Fatal(err)
	}
	query, err := rego.New(append(set.Rego(), rego.Query("answers := [a | some c in input; a := data.shared.probe.answers(c)]"))...).PrepareForEval(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return func(cases []map[string]any) []any {
		results, err := query.Eval(t.Context(), rego.EvalInput(cases))
		if err != nil {
			t.Fatal(err)
		}
		answers, _ := results[0].Bindings["answers"].([]any)
		if len(answers) != len(cases) {
			t.Fatalf("%d answers to %d cases", len(answers), len(cases))
		}
		return answers
	}
}

// maker makes cases out of the release's own units and limits.
type maker struct {
	random *rand.Rand
	units  map[string][]map[string]any // by quantity
	limits []limitText
}

type limitText struct{ value, place, quantity string }

func newMaker(t testing.TB) *maker {
	t.Helper()
	set, err := Load(t.Context(), os.DirFS("../../policies/1.0.0"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	m := &maker{random: rand.New(rand.NewPCG(1, 2)), units: map[string][]map[string]any{}}
	units := set.Data()["units"].(map[string]any)
	for _, code := range keysOf(units) {
		u := units[code].(map[string]any)
		quantity := u["quantity"].(string)
		m.units[quantity] = append(m.units[quantity], u)
	}
	var collect func(v any)
	collect = func(v any) {
		object, ok := v.(map[string]any)
		if !ok {
			return
		}
		for _, bound := range []string{"min", "max"} {
			if text, ok := numberText(object[bound]); ok {
				place, _ := numberText(object["place"])
				quantity := units[object["unit"].(string)].(map[string]any)["quantity"].(string)
				m.limits = append(m.limits, limitText{text, place, quantity})
			}
		}
		for _, k := range keysOf(object) {
			collect(object[k])
		}
	}
	collect(set.Data()["limits"])
	if len(m.limits) < 20 {
		t.Fatalf("only %d bounds were found to set values on", len(m.limits))
	}
	return m
}

// next makes a case: a value on a limit, next to it by a few steps of its last
// digits, or far from it; or, rarely, one that no record can hold.
func (m *maker) next() map[string]any {
	limit := m.limits[m.random.IntN(len(m.limits))]
	units := m.units[limit.quantity]
	at, _ := new(big.Rat).SetString(limit.value)
	decimals := m.random.IntN(10)
	step := big.NewRat(1, int64(pow10(decimals)))
	switch m.random.IntN(4) {
	case 0: // on it
	case 1, 2: // next to it
		at.Add(at, new(big.Rat).Mul(step, big.NewRat(int64(m.random.IntN(7)-3), 1)))
	case 3: // far from it
		at.Add(at, new(big.Rat).Mul(step, big.NewRat(m.random.Int64N(2_000_000)-1_000_000, 1)))
	}
	c := map[string]any{
		"v":     json.Number(at.FloatString(max(decimals, 4))),
		"u":     units[m.random.IntN(len(units))],
		"w":     json.Number(limit.value),
		"x":     units[m.random.IntN(len(units))],
		"k":     json.Number(strconv.Itoa(1 + m.random.IntN(100))),
		"place": json.Number(limit.place),
	}
	// A quotient to round: ties are forced half of the time.
	d := 1 + m.random.Int64N(1<<40)
	n := m.random.Int64N(1<<50) - 1<<49
	if m.random.IntN(2) == 0 {
		n, d = (2*(n>>12)+1)*(d>>8+1), 2*(d>>8+1)
	}
	c["n"], c["d"] = json.Number(strconv.FormatInt(n, 10)), json.Number(strconv.FormatInt(d, 10))
	return c
}

func pow10(n int) int {
	p := 1
	for range n {
		p *= 10
	}
	return p
}

func TestNativeHelpersAnswerAsRego(t *testing.T) {
	count := 4_000
	if *million {
		count = 1_000_000
	} else if testing.Short() {
		count = 1_000
	}
	pure, native := newAsker(t, false), newAsker(t, true)
	m := newMaker(t)
	const batch = 100 // a larger one is slower: each query remembers the calls it made
	for done := 0; done < count; done += batch {
		cases := make([]map[string]any, batch)
		for i := range cases {
			cases[i] = m.next()
		}
		want, got := pure(cases), native(cases)
		for i, c := range cases {
			if !reflect.DeepEqual(got[i], want[i]) {
				t.Fatalf("case %v:\nnative %v\nRego   %v", c, got[i], want[i])
			}
			if fault := oracle(c, got[i].(map[string]any)); fault != "" {
				t.Fatalf("case %v: %s", c, fault)
			}
		}
	}
	t.Logf("%d cases of %d helpers each, native and Rego alike, and as math/big has it", count, len(nativeFunctions))
}

// oracle computes with math/big what the helpers are to answer.
func oracle(c, got map[string]any) string {
	rat := func(v any) *big.Rat {
		r, ok := new(big.Rat).SetString(v.(json.Number).String())
		if !ok {
			panic(v)
		}
		return r
	}
	fraction := func(v any) *big.Rat {
		p := v.([]any)
		return new(big.Rat).Quo(rat(p[0]), rat(p[1]))
	}
	base := func(v, unit any, offset bool) *big.Rat {
		u := unit.(map[string]any)
		r := new(big.Rat).Quo(new(big.Rat).Mul(rat(v), rat(u["num"])), rat(u["den"]))
		if offset {
			r.Add(r, rat(u["add"]))
		}
		return r
	}
	a, b := base(c["v"], c["u"], true), base(c["w"], c["x"], true)
	difference := new(big.Rat).Sub(a, b)
	sum := new(big.Rat).Add(a, b)
	greatest, least := a, b
	if a.Cmp(b) < 0 {
		greatest, least = b, a
	}
	both := sum
	if a.Cmp(b) == 0 && reflect.DeepEqual(c["u"], c["x"]) {
		both = a // one and the same pair stands once in a set
	}
	place := rat(c["place"])
	wants := map[string]*big.Rat{
		"of":          a,
		"number":      rat(c["v"]),
		"difference":  base(c["v"], c["u"], false),
		"add":         sum,
		"subtract":    difference,
		"times":       new(big.Rat).Mul(a, b),
		"over":        new(big.Rat).Quo(a, rat(c["k"])),
		"size":        new(big.Rat).Abs(difference),
		"sum_of":      new(big.Rat).Add(sum, a),
		"sum_of_set":  both,
		"sum_of_none": new(big.Rat),
		"greatest":    greatest,
		"least":       least,
		"rounded":     new(big.Rat).Mul(halfEvenOf(new(big.Rat).Quo(a, place)), place),
	}
	for name, want := range wants {
		if have := fraction(got[name]); have.Cmp(want) != 0 {
			return fmt.Sprintf("%s is %s, math/big says %s", name, have.RatString(), want.RatString())
		}
	}
	if n := rat(got["nano"]); n.Cmp(new(big.Rat).Mul(rat(c["v"]), big.NewRat(billion, 1))) != 0 {
		return "nano is " + n.RatString()
	}
	if h := halfEvenOf(new(big.Rat).Quo(rat(c["n"]), rat(c["d"]))); rat(got["half_even"]).Cmp(h) != 0 {
		return fmt.Sprintf("half_even is %v, math/big says %s", got["half_even"], h.RatString())
	}
	if got["at_least"] != (a.Cmp(b) >= 0) || got["above"] != (a.Cmp(b) > 0) {
		return fmt.Sprintf("at_least is %v, above is %v", got["at_least"], got["above"])
	}
	return ""
}

// halfEvenOf rounds to a whole number, a tie to the even one.
func halfEvenOf(r *big.Rat) *big.Rat {
	floor := new(big.Int).Div(r.Num(), r.Denom()) // Denom is above zero, so Div is floor
	rest := new(big.Rat).Sub(r, new(big.Rat).SetInt(floor))
	switch rest.Cmp(big.NewRat(1, 2)) {
	case 1:
		floor.Add(floor, big.NewInt(1))
	case 0:
		floor.Add(floor, new(big.Int).And(floor, big.NewInt(1)))
	}
	return new(big.Rat).SetInt(floor)
}

// What no record can hold is answered alike all the same: digits past the
// ninth, numbers past 64 bits, quotients past what a float holds.
func TestNativeHelpersAnswerAsRegoBeyondRecords(t *testing.T) {
	pure, native := newAsker(t, false), newAsker(t, true)
	m := newMaker(t)
	odd := []string{
		"0", "-0", "0.0", "-0.0", "1e3", "1.5e-7", "0.0000000005", "-0.0000000005", "0.00000000149999999999",
		"123456789012345.123456789", "999999999999999999999999", "-999999999999999999999999.5",
		"9223372036854775807", "-9223372036854775808", "1152921504.606846975", "1152921504.606846976", "9223372036.854775807",
	}
	var cases []map[string]any
	for _, v := range odd {
		for _, d := range []string{"1", "2", "-2", "3", "1000000007", "18446744073709551616"} {
			c := m.next()
			c["v"], c["n"], c["d"] = json.Number(v), json.Number(strings.SplitN(strings.SplitN(v, ".", 2)[0], "e", 2)[0]), json.Number(d)
			cases = append(cases, c)
		}
	}
	want, got := pure(cases), native(cases)
	for i, c := range cases {
		if !reflect.DeepEqual(got[i], want[i]) {
			t.Errorf("case %v:\nnative %v\nRego   %v", c, got[i], want[i])
		}
	}
}

// What a helper is not made for ends alike: in no answer, or in an error.
func TestNativeHelpersFailAsRego(t *testing.T) {
	release := copied(t, "../../policies/1.0.0")
	write(release, "shared/probe.rego", probe)
	var sets []*Set
	for _, native := range []bool{false, true} {
		set, err := Load(t.Context(), release, Options{Native: native})
		if err != nil {
			t.Fatal(err)
		}
		sets = append(sets, set)
	}
	for call, want := range map[string]string{
		`nano("1.2")`:                             "error",
		`nano(null)`:                              "error",
		`number("1.2")`:                           "error",
		`of(1, {"num": 1, "den": 1})`:             "undefined",
		`of(1, {"num": 1, "add": 0})`:             "undefined",
		`of(1, "sg")`:                             "undefined",
		`of("1", {"num": 1, "den": 1, "add": 0})`: "error",
		`difference(1, {"num": 1})`:               "undefined",
		`at_least([1], [1, 2])`:                   "undefined",
		`at_least([], [])`:                        "undefined",
		`add([1, 2], "x")`:                        "undefined",
		`add([1, 2], [1])`:                        "undefined",
		`times([1, 2], {})`:                       "undefined",
		`over([1], 2)`:                            "undefined",
		`size([])`:                                "undefined",
		`sum_of("x")`:                             "an answer",
		`sum_of([[1]])`:                           "an answer",
		`greatest([])`:                            "undefined",
		`half_even(1, 0)`:                         "error",
		`half_even("1", 2)`:                       "error",
		`rounded([1, 2], 0)`:                      "error",
		`rounded([1, 2], "x")`:                    "error",
		`rounded([1], 1)`:                         "undefined",
	} {
		for i, set := range sets {
			results, err := rego.New(append(set.Rego(), rego.Query("x := data.shared.probe."+call))...).Eval(t.Context())
			got := "an answer"
			switch {
			case err != nil:
				got = "error"
			case len(results) == 0:
				got = "undefined"
			}
			if got != want {
				t.Errorf("%s, native %v: %s, want %s (%v, %v)", call, i == 1, got, want, results, err)
			}
		}
	}
}

// The helpers that a native function names are there in the release that is
// shipped, and calls do go to it.
func TestNativeFunctionsAreUsed(t *testing.T) {
	release := copied(t, "../../policies/1.0.0")
	write(release, "shared/probe.rego", probe)
	set, err := Load(t.Context(), release, Options{Native: true})
	if err != nil {
		t.Fatal(err)
	}
	text := set.Compiler().Modules["shared/probe.rego"].String()
	for _, n := range nativeFunctions {
		if !strings.Contains(text, nativeName(n.helper)+"(") {
			t.Errorf("the probe does not call %s", nativeName(n.helper))
		}
	}
	if strings.Contains(text, "data.shared.exact.") {
		t.Errorf("the probe still calls a helper in Rego:\n%s", text)
	}
}
