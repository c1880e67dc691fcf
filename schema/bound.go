package schema

import (
	"fmt"
	"math/big"
	"strings"
)

// A bound is a number to compare with, exactly. Numbers of up to nine digits
// before and nine after the point, which is nearly all, are compared in whole
// billionths.
type bound struct {
	exact  *big.Rat
	billi  int64
	inside bool // billi is the exact value
}

func newBound(text string) (*bound, error) {
	exact, ok := new(big.Rat).SetString(text)
	if !ok {
		return nil, fmt.Errorf("%q is no number", text)
	}
	b := &bound{exact: exact}
	b.billi, b.inside = billionths(text)
	return b, nil
}

// compare returns whether the number is less than, equal to or more than the
// bound, as -1, 0 or 1.
func (b *bound) compare(text string) int {
	if n, ok := billionths(text); ok && b.inside {
		switch {
		case n < b.billi:
			return -1
		case n > b.billi:
			return 1
		}
		return 0
	}
	n, ok := new(big.Rat).SetString(text)
	if !ok {
		return -1 // no JSON number; a decoded document has none
	}
	return n.Cmp(b.exact)
}

// billionths returns a decimal as whole billionths. It returns false where that
// is not exact, or the number is written otherwise or too long.
func billionths(text string) (int64, bool) {
	digits, negative := strings.CutPrefix(text, "-")
	whole, decimals, _ := strings.Cut(digits, ".")
	if len(whole) > 9 || len(decimals) > 9 {
		return 0, false
	}
	var n int64
	for _, part := range []string{whole, decimals} {
		for _, c := range []byte(part) {
			if c < '0' || c > '9' {
				return 0, false
			}
			n = n*10 + int64(c-'0')
		}
	}
	for range 9 - len(decimals) {
		n *= 10
	}
	if negative {
		n = -n
	}
	return n, true
}
