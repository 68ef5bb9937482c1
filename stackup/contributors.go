package stackup

import (
	"fmt"
	"math"

	"example.com/borestack/fault"
)

// Contributions are what each input adds to one output of the linear model at its limits: half the range that it
// alone gives; one for each input, both numbers of a plane law and all of a joint law together, but two for a pair
// of independent laws without a common reach. An input without limits is a [fault.FieldError], and so is one that moves the
// output otherwise than along a line ([Linear.Doubt]): its contribution would come out too small.
func (l *Linear) Contributions(s *Study, o int) ([]float64, error) {
	if why := l.Doubt(o); why != "" {
		return nil, fault.At(fmt.Sprintf("output %d", o), why, "an output that is nearly linear there, or the model in full", fault.ErrOutOfRange)
	}
	set, unbounded := s.reaches()
	if unbounded != "" {
		return nil, fault.At(unbounded, "no limits", "limits, for a contribution", fault.ErrMissing)
	}
	b := l.body(set, o, -1)
	var out []float64
	for i := range set {
		half := math.Hypot(b.a[i][0], b.b[i][0])
		if i > 0 && set[i].input == set[i-1].input && s.Inputs[set[i].input].Joint != nil {
			out[len(out)-1] += half
			continue
		}
		out = append(out, half)
	}
	return out, nil
}

// RootSumOfSquares adds up contributions as independent.
func RootSumOfSquares(contributions []float64) float64 { return MeanShift(contributions, 0) }

// MeanShift adds up a share m of every contribution as a shift of its mean, in full, and the rest as independent:
// m = 0 is the root sum of squares, m = 1 the worst case.
//
// Source: Greenwood and Chase, A new tolerance analysis method for designers and manufacturers, J. Engineering for
// Industry 109 (1987), with the shift factors equal.
func MeanShift(contributions []float64, m float64) float64 {
	var shift, squares float64
	for _, t := range contributions {
		shift += m * t
		squares += (1 - m) * (1 - m) * t * t
	}
	return shift + math.Sqrt(squares)
}
