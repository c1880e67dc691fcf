// Package rate says how far a share of few cases can be trusted.
package rate

import "math"

// z is the 97.5 % point of the standard normal distribution: 95 % lie within ±z.
const z = 1.959963984540054

// Wilson is the 95 % interval of a share of k out of n cases, n at least 1: the
// shares that do not differ from the one seen by more than chance explains. E. B.
// Wilson, "Probable inference, the law of succession, and statistical inference",
// Journal of the American Statistical Association 22 (1927), 209 to 212; without a
// correction for continuity.
func Wilson(k, n int) (low, high float64) {
	count, seen := float64(n), float64(k)
	middle := (seen + z*z/2) / (count + z*z)
	half := z / (count + z*z) * math.Sqrt(seen*(count-seen)/count+z*z/4)
	return max(0, middle-half), min(1, middle+half)
}
