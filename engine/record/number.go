package record

import (
	"fmt"
	"strings"
)

// MaxDecimals and MaxDigits bound, both inclusive, how a number may be written:
// the rules compute in whole billionths, which hold any such number exactly.
const (
	MaxDecimals = 9  // digits after the point
	MaxDigits   = 15 // digits before the point
)

// numberFlaw says what is wrong with how a JSON number is written, or nothing.
func numberFlaw(text string) (message, mend string) {
	if i := strings.IndexAny(text, "eE"); i >= 0 {
		return fmt.Sprintf("%s is written with an exponent", clipped(text)), "write it out: 0.001, not 1e-3"
	}
	whole, decimals, _ := strings.Cut(text, ".")
	digits, negative := strings.CutPrefix(whole, "-")
	switch {
	case len(decimals) > MaxDecimals:
		return fmt.Sprintf("%s has %d decimals, more than %d", clipped(text), len(decimals), MaxDecimals),
			"write the number as the instrument shows it"
	case len(digits) > MaxDigits:
		return fmt.Sprintf("%s has %d digits before the point, more than %d", clipped(text), len(digits), MaxDigits),
			"write the number as the instrument shows it"
	case negative && strings.Trim(digits+decimals, "0") == "":
		return fmt.Sprintf("%s is zero with a minus sign", text), "write " + text[1:]
	}
	return "", ""
}
