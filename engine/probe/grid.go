package probe

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"sync"

	"github.com/visitgauge/visitgauge/engine/record"
)

// A grid is the values that a field can have with a number of decimals, as whole
// multiples of its step, between the ends that the schema allows.
type grid struct {
	decimals  int
	low, high int64 // multiples, inclusive
}

// The largest multiple and the most decimals that are tried. A record may have nine
// decimals; what lies beyond a thousand million steps is no reading.
const (
	furthest     = 1_000_000_000
	mostDecimals = 9
)

// text writes a multiple of the step as a number.
func (g grid) text(n int64) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	digits := strconv.FormatInt(n, 10)
	if g.decimals == 0 {
		return sign + digits
	}
	if pad := g.decimals + 1 - len(digits); pad > 0 {
		digits = strings.Repeat("0", pad) + digits
	}
	return sign + digits[:len(digits)-g.decimals] + "." + digits[len(digits)-g.decimals:]
}

// multiple reads a number as a multiple of the step; false if it is none, or too far
// out.
func (g grid) multiple(text string) (int64, bool) {
	whole, part, _ := strings.Cut(text, ".")
	if len(part) > g.decimals {
		return 0, false
	}
	n, err := strconv.ParseInt(whole+part+strings.Repeat("0", g.decimals-len(part)), 10, 64)
	if err != nil || n > furthest || n < -furthest {
		return 0, false
	}
	return n, true
}

// decimalsOf is how many decimals a number is written with; false for one that is
// written with an exponent.
func decimalsOf(text string) (int, bool) {
	if strings.ContainsAny(text, "eE") {
		return 0, false
	}
	_, part, _ := strings.Cut(text, ".")
	return len(part), true
}

// gridOf is the grid of a number: one decimal more than the numbers of its field are
// written with, for what a rule makes of them is finer than they are; whole where the
// schema wants that. Numbers of a field in the same unit share one.
func (p *Probe) gridOf(l leaf, all []leaf) (grid, error) {
	unit, _ := p.of.Record.Text(pointer(append(append([]string{}, l.tokens[:len(l.tokens)-1]...), "unit")))
	key := l.path.String() + " " + unit
	p.mu.Lock()
	find, ok := p.grids[key]
	if !ok {
		find = sync.OnceValues(func() (grid, error) { return p.findGrid(l, all) })
		p.grids[key] = find
	}
	p.mu.Unlock()
	return find()
}

func (p *Probe) findGrid(l leaf, all []leaf) (grid, error) {
	g := grid{}
	for _, other := range all {
		if n, ok := other.value.(json.Number); ok && other.path.String() == l.path.String() {
			d, _ := decimalsOf(n.String())
			g.decimals = max(g.decimals, d)
		}
	}
	g.decimals = min(g.decimals+1, mostDecimals)
	here, ok := g.multiple(l.value.(json.Number).String())
	if !ok {
		return g, nil // too large to be probed
	}
	// A fraction that is refused on both sides shows a field of whole numbers.
	up, err := p.accepts(l, g, here+1)
	if err != nil {
		return g, err
	}
	down, err := p.accepts(l, g, here-1)
	if err != nil {
		return g, err
	}
	if !up && !down && g.decimals == 1 {
		g.decimals = 0
		here, _ = g.multiple(l.value.(json.Number).String())
	}
	if g.low, err = p.end(l, g, here, -1); err != nil {
		return g, err
	}
	g.high, err = p.end(l, g, here, 1)
	return g, err
}

func (p *Probe) accepts(l leaf, g grid, n int64) (bool, error) {
	var rec *record.Record
	rec, err := p.altered(l, json.Number(g.text(n)), false)
	return rec != nil, err
}

// end is the last value that is accepted in one direction, or the furthest tried.
func (p *Probe) end(l leaf, g grid, here, sign int64) (int64, error) {
	good := here
	bad := int64(0)
	for step := int64(1); bad == 0; step *= 8 {
		n := here + sign*step
		if n > furthest || n < -furthest {
			n = sign * furthest
		}
		ok, err := p.accepts(l, g, n)
		if err != nil {
			return 0, err
		}
		if !ok {
			bad = n
			break
		}
		good = n
		if n == sign*furthest {
			return good, nil
		}
		if step > math.MaxInt64/16 {
			break
		}
	}
	for good-bad > 1 || bad-good > 1 {
		middle := good + (bad-good)/2
		ok, err := p.accepts(l, g, middle)
		if err != nil {
			return 0, err
		}
		if ok {
			good = middle
		} else {
			bad = middle
		}
	}
	return good, nil
}

// around are the multiples to be tried about one, in order: at distances that double,
// with one between if they are to be dense, at the ends, and at those given besides.
func (g grid) around(here int64, dense bool, besides []int64) []int64 {
	seen := map[int64]bool{here: true, g.low: true, g.high: true}
	for step := int64(1); step <= g.high-g.low && step > 0; step *= 2 {
		distances := []int64{step}
		if dense {
			distances = append(distances, step+step/2)
		}
		for _, d := range distances {
			for _, n := range []int64{here - d, here + d} {
				if n > g.low && n < g.high {
					seen[n] = true
				}
			}
		}
	}
	for _, n := range besides {
		if n > g.low && n < g.high {
			seen[n] = true
		}
	}
	return sorted(seen)
}
