package judge

import (
	"fmt"
	"math/big"
	"regexp"
	"strconv"
	"strings"
)

// numeral is a number as Rego writes it.
var numeral = regexp.MustCompile(`^-?[0-9]{1,400}(\.[0-9]{1,400})?([eE][+-]?[0-9]{1,3})?$`)

// exact reads a number without loss.
func exact(text string) (*big.Rat, error) {
	if !numeral.MatchString(text) {
		return nil, fmt.Errorf("%q is no number of a size that is printed", text)
	}
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		return nil, fmt.Errorf("%q is no number", text)
	}
	return r, nil
}

// maxPlaces is how many decimals a printed number may have.
const maxPlaces = 12

// places reads how many decimals are to be printed.
func places(text string) (int, error) {
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > maxPlaces {
		return 0, fmt.Errorf("place is %s, not a whole number from 0 to %d", text, maxPlaces)
	}
	return n, nil
}

// fixed prints r to a number of decimals, a tie going to the even digit (the
// rounding method of ASTM E29). What rounds to nothing has no sign.
func fixed(r *big.Rat, place int) string {
	scaled := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(place)), nil)
	n := new(big.Int).Mul(r.Num(), scaled)
	q, m := new(big.Int).DivMod(n, r.Denom(), new(big.Int)) // m >= 0: q is the floor
	switch m.Lsh(m, 1).Cmp(r.Denom()) {
	case 1:
		q.Add(q, big.NewInt(1))
	case 0:
		q.Add(q, big.NewInt(int64(q.Bit(0)))) // odd goes up, even stays
	}
	digits := new(big.Int).Abs(q).String()
	if pad := place + 1 - len(digits); pad > 0 {
		digits = strings.Repeat("0", pad) + digits
	}
	out := digits
	if place > 0 {
		out = digits[:len(digits)-place] + "." + digits[len(digits)-place:]
	}
	if q.Sign() < 0 {
		out = "-" + out
	}
	return out
}
