package policies_test

import (
	"encoding/json"
	"maps"
	"math/big"
	"slices"
	"testing"
)

// A limit is a row of limits.yaml that something is decided against.
type limit struct {
	Name    string
	Min     json.Number `json:"min"`
	Max     json.Number `json:"max"`
	Unit    string      `json:"unit"`
	Place   json.Number `json:"place"`
	Decided string      `json:"decided"`
	row     map[string]any
}

// limitsOf reads every limit of the release, in order of its name.
func (r *release) limitsOf(t *testing.T) []limit {
	t.Helper()
	var found []limit
	var walk func(name string, v any)
	walk = func(name string, v any) {
		row, ok := v.(map[string]any)
		if !ok {
			return
		}
		if row["decided"] == nil {
			for k, x := range row {
				walk(name+"."+k, x)
			}
			return
		}
		b, err := json.Marshal(row)
		if err != nil {
			t.Fatal(err)
		}
		l := limit{Name: name[1:], row: row}
		if err := json.Unmarshal(b, &l); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		found = append(found, l)
	}
	walk("", r.data["limits"])
	if len(found) == 0 {
		t.Fatal("the release has no limits")
	}
	slices.SortFunc(found, func(a, b limit) int {
		if a.Name < b.Name {
			return -1
		}
		return 1
	})
	return found
}

// state decides a quantity in the base unit by math/big alone: u is the expanded
// uncertainty in the base unit.
func (l limit) state(q, u *big.Rat, of unit) string {
	if l.Decided == "rounded" {
		own := new(big.Rat).Sub(q, decimal(of.Add).rat())
		own.Mul(own, decimal(of.Den).rat()).Quo(own, decimal(of.Num).rat())
		place := decimal(l.Place).rat()
		q = of.base(place.Mul(new(big.Rat).SetInt(halfEven(own.Quo(own, place))), place))
	}
	var margins []*big.Rat
	for _, end := range []struct {
		at    json.Number
		below bool
	}{{l.Min, true}, {l.Max, false}} {
		if end.at == "" {
			margins = append(margins, nil)
			continue
		}
		m := new(big.Rat).Sub(q, of.base(decimal(end.at).rat()))
		if !end.below {
			m.Neg(m)
		}
		margins = append(margins, m)
	}
	if l.Decided != "guarded" {
		u = new(big.Rat)
	}
	close := false
	for i, m := range margins {
		if m == nil {
			continue
		}
		if new(big.Rat).Add(m, u).Sign() < 0 {
			return []string{"low", "high"}[i]
		}
		if m.Cmp(u) < 0 {
			close = true
		}
	}
	if close {
		return "close"
	}
	return "in"
}

// TestToleranceProperty decides values on, next to and far from every limit of
// the release, decided each of the three ways and read in every unit of its
// quantity, and compares with the same decision by math/big.
func TestToleranceProperty(t *testing.T) {
	r := helpers(t)
	units := r.unitsOf(t)
	rng := source(7)
	type drawn struct {
		l    limit
		q, u *big.Rat
	}
	var draw []drawn
	var cases []map[string]any
	seen := map[string]int{}
	for _, l := range r.limitsOf(t) {
		own, ok := units[l.Unit]
		if !ok {
			t.Errorf("limit %s: no unit %q", l.Name, l.Unit)
			continue
		}
		for _, how := range []string{"direct", "rounded", "guarded"} {
			row := map[string]any{}
			for k, v := range l.row {
				row[k] = v
			}
			row["decided"] = how
			as := l
			as.Decided = how
			for _, name := range slices.Sorted(maps.Keys(units)) {
				read := units[name]
				if read.Quantity != own.Quantity {
					continue
				}
				for _, end := range []json.Number{l.Min, l.Max} {
					if end == "" {
						continue
					}
					for _, v := range around(rng.Int64N, own, read, decimal(end), decimal(l.Place)) {
						u := decimal(big.NewRat(rng.Int64N(3000), 1000).Mul(big.NewRat(rng.Int64N(3000), 1000), decimal(l.Place).rat()).FloatString(6))
						draw = append(draw, drawn{as, read.base(v.rat()), new(big.Rat).Quo(new(big.Rat).Mul(u.rat(), decimal(own.Num).rat()), decimal(own.Den).rat())})
						cases = append(cases, map[string]any{"value": v.number(), "unit": name, "limit": row, "u": u.number()})
					}
				}
			}
		}
	}
	const expression = "data.shared.tolerance.state(data.shared.exact.of(c.value, data.units[c.unit]), c.limit, data.shared.exact.times(data.shared.exact.difference(c.u, data.units[c.limit.unit]), data.shared.exact.difference(c.u, data.units[c.limit.unit])))"
	for i, got := range r.each(t, expression, cases) {
		d := draw[i]
		want := d.l.state(d.q, d.u, units[d.l.Unit])
		seen[d.l.Decided+" "+want]++
		if got != want {
			t.Errorf("%s decided %s: %v %v with U = %v %s: %v, want %s", d.l.Name, d.l.Decided, cases[i]["value"], cases[i]["unit"], cases[i]["u"], d.l.Unit, got, want)
		}
	}
	t.Logf("%d decisions: %v", len(cases), seen)
	for _, s := range []string{"direct in", "direct low", "direct high", "rounded in", "rounded low", "rounded high", "guarded in", "guarded low", "guarded high", "guarded close"} {
		if seen[s] < 50 {
			t.Errorf("only %d cases %s", seen[s], s)
		}
	}
}

// around draws decimals in a unit: on a limit and on its rounding edges, each
// also a billionth beside, and a few places away.
func around(rand func(int64) int64, own, read unit, end, place decimal) []decimal {
	// The limit in the unit that the reading is in.
	at := own.base(end.rat())
	at.Sub(at, decimal(read.Add).rat()).Mul(at, decimal(read.Den).rat()).Quo(at, decimal(read.Num).rat())
	step := new(big.Rat).Mul(place.rat(), new(big.Rat).Quo(decimal(own.Num).rat(), decimal(own.Den).rat()))
	step.Mul(step, decimal(read.Den).rat()).Quo(step, decimal(read.Num).rat())
	nano := new(big.Rat).SetFrac(big.NewInt(1), pow10(9))
	var out []decimal
	for _, halves := range []int64{0, 1, -1, 11, -11} {
		v := new(big.Rat).Mul(step, big.NewRat(halves, 2))
		v.Add(v, at)
		offsets := []int64{0, 1, -1}
		if halves > 1 || halves < -1 {
			offsets = []int64{rand(1000)}
		}
		for _, off := range offsets {
			w := new(big.Rat).Mul(nano, big.NewRat(off, 1))
			out = append(out, decimal(w.Add(w, v).FloatString(9)))
		}
	}
	return out
}
