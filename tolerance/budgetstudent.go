package tolerance

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/fault"
)

// StudentFactor returns t such that a share p of Student's law lies within ±t. Degrees of freedom need
// not be whole; none given means the normal law. It returns a [*fault.FieldError] unless 0 < p < 1 and
// the degrees of freedom are at least 0.5. It is good to five digits for
// p from 0.01 on.
//
// Source: JCGM 100:2008, G.3 and table G.2.
func StudentFactor(p float64, degreesOfFreedom Optional[float64]) (float64, error) {
	const sameAsNormal = 1e6 // degrees of freedom from which on the two differ by less than a millionth
	v := degreesOfFreedom.Or(math.Inf(1))
	switch {
	case !(p > 0 && p < 1):
		return 0, fault.At("p", fmt.Sprint(p), "a share between 0 and 1, such as 0.95", fault.ErrOutOfRange)
	case !(v >= leastDegrees):
		return 0, fault.At("degrees of freedom", fmt.Sprint(v), fmt.Sprintf("%v or more", leastDegrees), fault.ErrOutOfRange)
	case v > sameAsNormal:
		return math.Sqrt2 * math.Erfinv(p), nil
	}
	return -distuv.StudentsT{Sigma: 1, Nu: v}.Quantile((1 - p) / 2), nil
}
