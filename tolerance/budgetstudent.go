package tolerance

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"example.com/borestack/fault"
)

// manyDegrees is the number of degrees of freedom from which on the series of the quantile about the normal one is exact to rounding: its first neglected term is below 30/ν³ for the usual p.
const manyDegrees = 1e5

// StudentFactor returns t such that a share p of Student's law lies within ±t. Degrees of freedom need not be whole; none given means the normal law. It returns a [*fault.FieldError] unless 0 < p < 1 and the degrees of freedom are at least 0.5.
//
// Source: JCGM 100:2008, G.3 and table G.2; the series for many degrees of freedom: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.5.
func StudentFactor(p float64, degreesOfFreedom Optional[float64]) (float64, error) {
	if !(p > 0 && p < 1) {
		return 0, &fault.FieldError{Path: "p", Value: fmt.Sprint(p), Want: "a share between 0 and 1, such as 0.95", Err: fault.ErrOutOfRange}
	}
	v := degreesOfFreedom.Value
	z := math.Sqrt2 * math.Erfinv(p)
	switch {
	case !degreesOfFreedom.Given || math.IsInf(v, 1):
		return z, nil
	case !(v >= leastDegrees):
		return 0, &fault.FieldError{Path: "degrees of freedom", Value: fmt.Sprint(v), Want: fmt.Sprintf("%v or more", leastDegrees), Err: fault.ErrOutOfRange}
	case v > manyDegrees:
		z3, z5 := z*z*z, z*z*z*z*z
		return z + (z3+z)/(4*v) + (5*z5+16*z3+3*z)/(96*v*v), nil
	}
	// p = I_w(1/2, v/2) with w = t²/(v + t²); the complement where 1 - w would lose digits
	if w := mathext.InvRegIncBeta(0.5, v/2, p); w < 0.5 {
		return math.Sqrt(v * w / (1 - w)), nil
	}
	y := mathext.InvRegIncBeta(v/2, 0.5, 1-p)
	return math.Sqrt(v * (1 - y) / y), nil
}

// DegreesOfFreedomFrom returns the degrees of freedom of an uncertainty that is itself only known to a share of its size: ½ share⁻², so 8 for 25 %. It returns a [*fault.FieldError] unless 0 < share ≤ 1.
//
// Source: JCGM 100:2008, G.4.2.
func DegreesOfFreedomFrom(share float64) (float64, error) {
	if !(share > 0 && share <= 1) {
		return 0, &fault.FieldError{Path: "share", Value: fmt.Sprint(share), Want: "more than 0, up to 1", Err: fault.ErrOutOfRange}
	}
	return 0.5 / (share * share), nil
}
