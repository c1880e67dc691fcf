package judge

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"go.yaml.in/yaml/v3"
)

// TestFixedAgainstPublishedRounding prints the values of the published tables on
// rounding (testdata/published/decisions.yaml, sources named there: ASTM E29's
// rounding method as quoted in a sampling manual, a chemistry course and a
// highway department's instruction, and the USP's illustration where a tie plays
// no part).
func TestFixedAgainstPublishedRounding(t *testing.T) {
	data, err := os.ReadFile("../../testdata/published/decisions.yaml")
	if err != nil {
		t.Fatal(err)
	}
	// Nodes keep a number as it is written.
	var tables struct {
		Rounded []struct {
			Place    int
			Value    yaml.Node
			HalfEven yaml.Node `yaml:"half_even"`
		}
		Rounding []struct {
			Place   int
			Value   yaml.Node
			Rounded yaml.Node
		} `yaml:"half_even"`
	}
	if err := yaml.Unmarshal(data, &tables); err != nil {
		t.Fatal(err)
	}
	rows := 0
	check := func(value, want string, place int) {
		if place < 0 {
			return // a fact is never printed to tens or hundreds
		}
		rows++
		v, err := exact(value)
		if err != nil {
			t.Error(err)
			return
		}
		w, err := exact(want)
		if err != nil {
			t.Error(err)
			return
		}
		if got := fixed(v, place); got != w.FloatString(place) {
			t.Errorf("%s to %d places: got %s, published %s", value, place, got, want)
		}
	}
	for _, r := range tables.Rounded {
		check(r.Value.Value, r.HalfEven.Value, r.Place)
	}
	for _, r := range tables.Rounding {
		check(r.Value.Value, r.Rounded.Value, r.Place)
	}
	if rows < 25 {
		t.Errorf("compared %d rows, want at least 25", rows)
	}
}

// TestFixedIsNearest checks random fractions: the printed number is never more
// than half a place away, and exactly half only from an even digit.
func TestFixedIsNearest(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	ties := 0
	for range 20000 {
		place := random.IntN(6)
		den := []int64{1, 2, 3, 7, 8, 20, 1000, 2000, 1129848290276167}[random.IntN(9)]
		r := big.NewRat(random.Int64N(2_000_000)-1_000_000, den)
		text := fixed(r, place)
		got, ok := new(big.Rat).SetString(text)
		if !ok {
			t.Fatalf("%s is printed as %s", r, text)
		}
		unit := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(place)), nil))
		off := new(big.Rat).Sub(got, r)
		switch off.Abs(off).Cmp(new(big.Rat).Quo(unit, big.NewRat(2, 1))) {
		case 1:
			t.Fatalf("%s to %d places: %s is not the nearest", r, place, text)
		case 0:
			ties++
			last, err := strconv.Atoi(text[len(text)-1:])
			if err != nil || last%2 != 0 {
				t.Fatalf("%s to %d places: %s, a tie goes to the even digit", r, place, text)
			}
		}
		if want := got.FloatString(place); text != want {
			t.Fatalf("%s to %d places is written %s, want %s", r, place, text, want)
		}
	}
	if ties < 100 {
		t.Errorf("only %d ties among the fractions", ties)
	}
}

func TestExactRefuses(t *testing.T) {
	for _, text := range []string{"", "x", "1/3", "0x10", "1e1000000", "1e", ".5", "NaN", "Inf", "+1", "1_000"} {
		if r, err := exact(text); err == nil {
			t.Errorf("%q: got %s, want an error", text, r)
		}
	}
	for text, want := range map[string]string{"1.260": "1.26", "-3": "-3.00", "1.26e+09": "1260000000.00"} {
		r, err := exact(text)
		if err != nil {
			t.Error(err)
			continue
		}
		w, _ := new(big.Rat).SetString(want)
		if r.Cmp(w) != 0 {
			t.Errorf("%q: got %s, want %s", text, fmt.Sprint(r), want)
		}
	}
	for _, text := range []string{"-1", "13", "2.5", "", "x"} {
		if n, err := places(text); err == nil {
			t.Errorf("place %q: got %d, want an error", text, n)
		}
	}
}
