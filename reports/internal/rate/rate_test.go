package rate

import (
	"math"
	"testing"
)

// The intervals that R. G. Newcombe, Statistics in Medicine 17 (1998), 857 to 872,
// table I, gives for the score method without continuity correction (from memory).
func TestWilson(t *testing.T) {
	for _, test := range []struct {
		k, n      int
		low, high float64
	}{
		{81, 263, 0.2553, 0.3662},
		{15, 148, 0.0624, 0.1605},
		{0, 20, 0, 0.1611},
		{1, 29, 0.0061, 0.1718},
	} {
		low, high := Wilson(test.k, test.n)
		if math.Abs(low-test.low) > 0.00005 || math.Abs(high-test.high) > 0.00005 {
			t.Errorf("%d of %d: got %.4f to %.4f, published %.4f to %.4f", test.k, test.n, low, high, test.low, test.high)
		}
	}
}

// By its definition each end is a share p from which the one seen lies z standard
// errors of p away; and what is turned round gives the interval turned round.
func TestWilsonByItsDefinition(t *testing.T) {
	for n := 1; n <= 200; n += 3 {
		for k := 0; k <= n; k++ {
			low, high := Wilson(k, n)
			seen := float64(k) / float64(n)
			if low > seen+1e-12 || high < seen-1e-12 || low < 0 || high > 1 {
				t.Fatalf("%d of %d: %v to %v does not hold %v", k, n, low, high, seen)
			}
			for _, p := range []float64{low, high} {
				off := (p-seen)*(p-seen) - z*z*p*(1-p)/float64(n)
				if math.Abs(off) > 1e-12 {
					t.Fatalf("%d of %d: %v is off by %v", k, n, p, off)
				}
			}
			l, h := Wilson(n-k, n)
			if math.Abs(l-(1-high)) > 1e-12 || math.Abs(h-(1-low)) > 1e-12 {
				t.Fatalf("%d of %d and %d of %d are not each other turned round", k, n, n-k, n)
			}
		}
	}
}
