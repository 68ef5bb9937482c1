package law

import (
	"errors"
	"fmt"
	"math"
	"reflect"
)

// A Law says how one deviation is distributed. Its values, means and supports are in the unit of the deviation, whatever that is; laws know no units.
//
// All laws of this package are immutable and may be used by any number of goroutines. Their zero values are not laws, unless a type says so; make one with its constructor, which checks the parameters.
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

// A Plane says how a pair of deviations (x, y) is distributed.
type Plane interface {
	// Mean returns the mean vector.
	Mean() (x, y float64)
	// Covariance returns the variances of x and y and their covariance.
	Covariance() (xx, yy, xy float64)
	// Reach returns the set that bounds the pair; false when there is none.
	Reach() (Reach, bool)
	// Draw fills x and y with the next pairs of a stream.
	Draw(x, y []float64, s *Stream)
}

// A Reach is the convex hull of the values of a plane law: centre + the ellipse with semi-axes A and B, A along the direction Angle (radians from +x towards +y).
type Reach struct {
	X, Y, A, B, Angle float64
}

// ErrParameter is wrapped by every error about a parameter of a law.
var ErrParameter = errors.New("law: bad parameter")

// ParameterError says which parameter of which law is wrong.
type ParameterError struct {
	Law, Parameter string
	Value          float64
	Want           string
}

// Error names the law, the parameter, its value and what would be right.
func (e *ParameterError) Error() string {
	return fmt.Sprintf("law: %s: %s %g: want %s", e.Law, e.Parameter, e.Value, e.Want)
}

// Unwrap returns [ErrParameter].
func (e *ParameterError) Unwrap() error { return ErrParameter }

// isNil reports whether there is no law, or a nil pointer to one.
func isNil(l Law) bool {
	if l == nil {
		return true
	}
	v := reflect.ValueOf(l)
	return v.Kind() == reflect.Pointer && v.IsNil()
}

// finite returns an error for the first value that is NaN or infinite; names and values alternate in order.
func finite(law string, names []string, values ...float64) error {
	for i, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return &ParameterError{law, names[i], v, "a finite number"}
		}
	}
	return nil
}

// atLeastZero returns an error unless v is finite and v ≥ 0.
func atLeastZero(law, name string, v float64) error {
	if !(v >= 0) || math.IsInf(v, 0) {
		return &ParameterError{law, name, v, ">= 0"}
	}
	return nil
}

// positive returns an error unless v is finite and v > 0.
func positive(law, name string, v float64) error {
	if !(v > 0) || math.IsInf(v, 0) {
		return &ParameterError{law, name, v, "> 0"}
	}
	return nil
}

// interval returns an error unless both ends are finite, in order, and a finite distance apart.
func interval(law string, lowest, highest float64) error {
	if err := finite(law, []string{"lowest", "highest"}, lowest, highest); err != nil {
		return err
	}
	if lowest > highest {
		return &ParameterError{law, "highest", highest, "the lowest or more"}
	}
	if math.IsInf(highest-lowest, 0) {
		return &ParameterError{law, "highest", highest, "a finite distance from the lowest"}
	}
	return nil
}
