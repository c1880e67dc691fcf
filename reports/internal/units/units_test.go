package units

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"go.yaml.in/yaml/v3"
)

// is knows every quantity as a reading.
func is(string) Kind { return Kind{Value: true, Recorded: true} }

func TestText(t *testing.T) {
	limits := func(q string) Kind { return Kind{Value: true, Recorded: strings.HasPrefix(q, "76 ")} }
	apart := func(q string) Kind {
		if q == "10 °F" {
			return Kind{Difference: true}
		}
		return Kind{Value: true}
	}
	both := func(string) Kind { return Kind{Value: true, Difference: true} }
	tests := []struct {
		to         System
		kind       func(string) Kind
		text, want string
	}{
		{AsRecorded, is, "at 76 °F", "at 76 °F"},
		{SI, is, "at 76 °F.", "at 24.4 °C (76 °F as recorded)."},
		{US, is, "at 76 °F.", "at 76 °F."},
		{US, is, "at 24.4 °C", "at 75.9 °F (24.4 °C as recorded)"},
		{SI, limits, "at 76 °F, 1.2194 at 80 °F", "at 24.4 °C (76 °F as recorded), 1.2194 at 26.7 °C (80 °F as written)"},
		{SI, apart, "at -6.1 °F, at least 10 °F above", "at -21.17 °C (-6.1 °F as written), at least 5.6 °C (10 °F as written) above"},
		{SI, nil, "at 125 °F or more", "at 125 °F or more"},
		{SI, both, "at 40 °F", "at 40 °F"},
		{SI, limits, "between 40 °F and 110 °F", "between 4.4 °C and 43.3 °C (40 °F and 110 °F as written)"},
		{SI, limits, "allowed is 90 in·lbf to 100 in·lbf.", "allowed is 10.2 N·m to 11.3 N·m (90 in·lbf to 100 in·lbf as written)."},
		{US, nil, "allowed is 1.5 to 2.5 L/min", "allowed is 0.40 to 0.66 gal/min (1.5 to 2.5 L/min as written)"},
		{SI, nil, "at least 95 in·lbf", "at least 10.7 N·m (95 in·lbf as written)"},
		{SI, nil, "at most 1/8 in, or 1 1/8 in", "at most 3.2 mm (1/8 in as written), or 28.6 mm (1 1/8 in as written)"},
		{SI, is, "9.8 N·m (86.7 in·lbf), read", "9.8 N·m (86.7 in·lbf), read"},
		{US, is, "9.8 N·m (86.7 in·lbf), read", "86.7 in·lbf (9.8 N·m as recorded), read"},
		{SI, is, "8.4 ft·lbf (101 in·lbf)", "8.4 ft·lbf (101 in·lbf)"},
		{SI, nil, "12 in all, 3 in the box", "12 in all, 3 in the box"},
		{SI, is, "12 in above", "305 mm (12 in as recorded) above"},
		{SI, is, "0.124 in above", "3.15 mm (0.124 in as recorded) above"},
		{SI, is, "cell B1.1 in its block, T-12 in the hall, 2026-05-04 in May", "cell B1.1 in its block, T-12 in the hall, 2026-05-04 in May"},
		{SI, is, "12 V, 3 h, 20 %, 25 A", "12 V, 3 h, 20 %, 25 A"},
		{SI, is, "10 °Fahrenheit, 4 inches, 5 in·lb", "10 °Fahrenheit, 4 inches, 5 in·lb"},
		{US, is, "3.168 m³/h, 5 m, 5 m/s, 5 N·m", "1.8646 ft³/min (3.168 m³/h as recorded), 16 ft (5 m as recorded), 11 mi/h (5 m/s as recorded), 44 in·lbf (5 N·m as recorded)"},
		{SI, is, "", ""},
	}
	for _, test := range tests {
		if got := test.to.Text(test.text, test.kind); got != test.want {
			t.Errorf("%q: got %q, want %q", test.text, got, test.want)
		}
	}
}

// The table agrees with the exact factors made from NIST SP 811 and from the
// definitions (testdata/published), unit by unit.
func TestPublishedFactors(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/published/nist-sp811.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var nist struct {
		Factors []struct {
			From, To, Num, Den string
			Add                struct{ Num, Den string }
		}
	}
	if err := yaml.Unmarshal(data, &nist); err != nil {
		t.Fatal(err)
	}
	symbol := map[string]string{
		"in.lbf": "in·lbf", "ft.lbf": "ft·lbf", "N.m": "N·m", "degF": "°F", "degC": "°C", "fl-oz": "fl oz", "ft3/min": "ft³/min", "m3/h": "m³/h",
	}
	called := func(code string) string {
		if s, ok := symbol[code]; ok {
			return s
		}
		return code
	}
	rat := func(num, den string) *big.Rat {
		if num == "" {
			return new(big.Rat)
		}
		r, ok := new(big.Rat).SetString(num + "/" + den)
		if !ok {
			t.Fatalf("%s/%s is no fraction", num, den)
		}
		return r
	}
	// One step between the base units of lengths, and of volumes, of two sizes.
	sizes := map[string]*big.Rat{"distance length": big.NewRat(1000, 1), "bulk volume": big.NewRat(1000, 1)}
	seen := map[string]bool{}
	for _, f := range nist.Factors {
		from, ok := named(called(f.From))
		to, also := named(called(f.To))
		if !ok || !also {
			continue
		}
		seen[from.symbol], seen[to.symbol] = true, true
		size := big.NewRat(1, 1)
		if s, ok := sizes[from.quantity+" "+to.quantity]; ok {
			size = s
		} else if from.quantity != to.quantity {
			t.Errorf("%s is of %s, %s of %s", from.symbol, from.quantity, to.symbol, to.quantity)
		}
		for _, value := range []*big.Rat{new(big.Rat), big.NewRat(1, 1), big.NewRat(-40, 1), big.NewRat(12345, 100)} {
			got, _ := convert(value, big.NewRat(1, 1), from, to)
			got.Mul(got, size)
			want := new(big.Rat).Mul(value, rat(f.Num, f.Den))
			want.Add(want, rat(f.Add.Num, f.Add.Den))
			if got.Cmp(want) != 0 {
				t.Errorf("%s %s is %s %s, by the published factor %s", value.FloatString(4), from.symbol, got.FloatString(12), to.symbol, want.FloatString(12))
			}
		}
	}
	for _, u := range table {
		if !seen[u.symbol] {
			t.Errorf("no published factor was held against %s", u.symbol)
		}
	}
}

// What is printed lies within half its last place of the exact value, and the last
// place is about as fine as the one that was written: not coarser, and less than
// ten times finer or the whole.
func TestPrintedIsAsFine(t *testing.T) {
	r := rand.New(rand.NewPCG(811, 2008))
	for range 20000 {
		from := table[r.IntN(len(table))]
		to, ok := (US + SI - from.system).counterpart(from)
		if !ok {
			t.Fatalf("%s has no counterpart", from.symbol)
		}
		places := r.IntN(5)
		text := big.NewRat(r.Int64N(2_000_001)-1_000_000, int64(1)).FloatString(0)
		if places > 0 {
			text += "." + fmt.Sprintf("%0*d", places, r.Int64N([]int64{1, 10, 100, 1000, 10000}[places]))
		}
		value, step, ok := read(text)
		if !ok {
			t.Fatalf("%q was not read", text)
		}
		exact, fine := convert(value, step, from, to)
		shown := printed(exact, fine)
		got, ok := new(big.Rat).SetString(shown)
		if !ok {
			t.Fatalf("%q is no number", shown)
		}
		place := big.NewRat(1, 1)
		if _, decimals, found := strings.Cut(shown, "."); found {
			place.SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(len(decimals))), nil))
		}
		off := new(big.Rat).Sub(got, exact)
		if off.Abs(off).Cmp(new(big.Rat).Quo(place, big.NewRat(2, 1))) > 0 {
			t.Errorf("%s %s is %s, printed %s", text, from.symbol, exact.FloatString(12), shown)
		}
		if place.Cmp(fine) > 0 && fine.Cmp(big.NewRat(1, 1)) < 0 {
			t.Errorf("%s %s: printed %s is coarser than written", text, from.symbol, shown)
		}
		if finer := new(big.Rat).Mul(place, big.NewRat(10, 1)); finer.Cmp(fine) <= 0 && place.Cmp(big.NewRat(1, 1)) < 0 {
			t.Errorf("%s %s: printed %s is far finer than written", text, from.symbol, shown)
		}
	}
}

// A tie goes to the even digit, as in the rounding method of ASTM E29.
func TestTiesGoToTheEvenDigit(t *testing.T) {
	for value, want := range map[string]string{"0.25": "0.2", "0.35": "0.4", "-0.25": "-0.2", "-0.35": "-0.4", "0.251": "0.3", "-0.04": "0.0"} {
		v, _ := new(big.Rat).SetString(value)
		if got := printed(v, big.NewRat(1, 10)); got != want {
			t.Errorf("%s: got %s, want %s", value, got, want)
		}
	}
}
