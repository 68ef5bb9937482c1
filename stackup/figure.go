package stackup

import (
	"fmt"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/num"
)

// Figure is an estimate with its doubt.
type Figure struct {
	Value    float64
	Error    float64    // standard error
	Interval [2]float64 // 95 % two-sided
}

// NewFigure has an interval by Student's t with that many degrees of freedom, at least 1; +Inf: normal.
func NewFigure(value, standardError, dof float64) Figure {
	k := num.Coverage(dof) * standardError
	return Figure{value, standardError, [2]float64{value - k, value + k}}
}

// Scatter is the mean of independent results, with the error of their scatter.
func Scatter(results []float64) Figure {
	mean, e := num.Scatter(results)
	return NewFigure(mean, e, float64(len(results)-1))
}

// notNumber is the error of sample i, whose response is none.
func (w *Response) notNumber(i int) error {
	return &fault.SampleError{Index: i, Err: fmt.Errorf("%s is not a number", w.Name)}
}

// infinite is the error of sample i, whose response v is not finite.
func (w *Response) infinite(i int, v float64) error {
	return &fault.SampleError{Index: i, Err: fmt.Errorf("%s is %g: %w", w.Name, v, fault.ErrNotFinite)}
}
