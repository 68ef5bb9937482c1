package law

import (
	"fmt"
	"math"
	"reflect"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
)

// A Law says how one deviation is distributed. Its values, means and supports are in the unit of the deviation, whatever that is; laws know no units.
//
// All laws of this package are immutable and may be used by any number of goroutines. They come from constructors, which check the parameters.
type Law interface {
	// CDF returns P(X ≤ x).
	CDF(x float64) float64
	// Survival returns P(X > x) with its own digits however small it is, not 1 − CDF: to rounding where there is a formula, to about 1e-11 of itself where it is integrated.
	Survival(x float64) float64
	// Quantile returns the least x with CDF(x) ≥ p, and the ends of the support for p = 0 and 1. It is NaN when p is not a probability.
	Quantile(p float64) float64
	// UpperQuantile returns the x with Survival(x) = q, accurate for q near 0.
	UpperQuantile(q float64) float64
	// Moments returns mean, variance and shape.
	Moments() Moments
	// Support returns the least and the greatest value; infinite when there is none.
	Support() (lowest, highest float64)
	// Draw fills dst with the next values of a stream.
	Draw(dst []float64, s *Stream)
}

// Moments are the first four moments of a law. A moment that does not exist is NaN; one that is infinite is +Inf.
type Moments struct {
	Mean, Variance float64
	Skewness       float64 // third central moment over sd³; 0 for a constant
	ExcessKurtosis float64 // fourth central moment over variance², less 3; 0 for a constant
}

// SD returns the standard deviation.
func (m Moments) SD() float64 { return math.Sqrt(m.Variance) }

// A Joint says how several deviations are distributed together, a pair (x, y) among them.
//
// Where a law is to be sampled by points that are spread more evenly than at random, it has besides the methods Numbers()
// int, of how many standard normal numbers it can be made, and FromNormals(dst, z [][]float64, work []float64), which sets
// the columns of dst by those of z, near values by near numbers; work is scratch, as long as they are. All of this package
// have them.
type Joint interface {
	// Columns returns how many deviations there are.
	Columns() int
	// Mean returns the mean of a deviation.
	Mean(column int) float64
	// Covariance returns the covariance of two deviations; of one with itself, its variance.
	Covariance(i, j int) float64
	// Reach returns sets that bound the deviations: their sum is the least convex set that holds all deviations. False when there is none, or none is known.
	Reach() ([]Set, bool)
	// Draw fills the columns of dst with the next values of a stream. All columns, and work, are equally long; work is scratch.
	Draw(dst [][]float64, work []float64, s *Stream)
}

// A Set is deviations that go along together, a number for each: Centre + s A, −1 ≤ s ≤ 1; with B an ellipse, Centre + s A + t B, s² + t² ≤ 1.
// A and B that are nil count as 0.
type Set struct {
	Centre, A, B []float64
	Rim          bool // the values are on the ellipse's rim alone
}

// Way is the set between two points.
func Way(from, to []float64) Set {
	s := Set{Centre: make([]float64, len(from)), A: make([]float64, len(from))}
	for k := range from {
		s.Centre[k], s.A[k] = (from[k]+to[k])/2, (to[k]-from[k])/2
	}
	return s
}

// bad is the fault of a parameter of a law. Its place is the law and the parameter.
func bad(law, parameter string, v float64, want string) error {
	return fault.At(law+"/"+parameter, fmt.Sprintf("%.6g", v), want, fault.ErrOutOfRange)
}

// made is a value whose parameters are right, or nothing and the fault.
func made[T any](v T, err error) (T, error) {
	if err != nil {
		var none T
		return none, err
	}
	return v, nil
}

// isNil reports whether there is no law, or a nil pointer to one.
func isNil(l Law) bool {
	if l == nil {
		return true
	}
	v := reflect.ValueOf(l)
	return v.Kind() == reflect.Pointer && v.IsNil()
}

// A parameter is one of a law's, with what would be right where it is wrong.
type parameter struct {
	name string
	v    float64
	want string // empty: nothing is wrong
}

// check is the fault of the first parameter that is wrong.
func check(law string, list ...parameter) error {
	for _, p := range list {
		if p.want != "" {
			return bad(law, p.name, p.v, p.want)
		}
	}
	return nil
}

// must is a parameter that wants something where it is not right.
func must(right bool, name string, v float64, want string) parameter {
	if right {
		want = ""
	}
	return parameter{name, v, want}
}

func finite(name string, v float64) parameter {
	return must(ieee.Finite(v), name, v, "a finite number")
}

func atLeastZero(name string, v float64) parameter {
	return must(v >= 0 && !math.IsInf(v, 0), name, v, ">= 0")
}

func positive(name string, v float64) parameter {
	return must(v > 0 && !math.IsInf(v, 0), name, v, "> 0")
}

// interval wants two ends that are finite, in order, and a finite distance apart.
func interval(lowest, highest float64) parameter {
	for _, p := range []parameter{
		finite("lowest", lowest), finite("highest", highest), must(lowest <= highest, "highest", highest, "the lowest or more"),
	} {
		if p.want != "" {
			return p
		}
	}
	return must(!math.IsInf(highest-lowest, 0), "highest", highest, "a finite distance from the lowest")
}
