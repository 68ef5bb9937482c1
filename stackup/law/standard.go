package law

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// StandardQuantile returns the z below which a share p of the standard normal law lies: −∞ at 0, +∞ at 1, NaN when p is not a probability. For a share above, negate the result: the lower tail keeps its digits.
//
// One step of Halley's method on erfc brings the library's start to the last digits.
func StandardQuantile(p float64) float64 {
	switch {
	case !(p >= 0 && p <= 1):
		return math.NaN()
	case p == 0:
		return math.Inf(-1)
	case p == 1:
		return math.Inf(1)
	case p > 0.5:
		return -StandardQuantile(1 - p)
	}
	z := distuv.UnitNormal.Quantile(p)
	density := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
	if density == 0 {
		return z
	}
	step := (math.Erfc(-z/math.Sqrt2)/2 - p) / density
	return z - step/(1+z*step/2)
}
