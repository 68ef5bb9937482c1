package form

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// YorkFit is a line y = Intercept + Slope·x through points whose coordinates both carry their own uncertainty. The zero value is not a fit.
type YorkFit struct {
	Intercept  tolerance.Length
	Slope      float64
	UIntercept tolerance.Length // standard uncertainty from those of the points
	USlope     float64
	Covariance float64 // of intercept and slope, mm
	ChiSquare  float64 // weighted sum of squares; about Freedom when the uncertainties are right
	Freedom    int     // degrees of freedom, n - 2
}

// York fits a line to two or more points with standard uncertainty ux[i] along x and uy[i] along y, independent of each other. For equal uncertainties the line is that of [LeastSquaresLine].
//
// It returns [fault.ErrTooFew], [fault.ErrNotFinite], [ErrMismatch], [fault.ErrOutOfRange] for an uncertainty that is not above 0, [fault.ErrUndefined] when the line is upright, and [fault.ErrNotConverging].
//
// Source: D. York, N. M. Evensen, M. López Martínez, J. De Basabe Delgado, Unified equations for the slope, intercept, and standard errors of the best straight line, Am. J. Phys. 72, 367, 2004, equations 13.
func York(points []r2.Vec, ux, uy []tolerance.Length) (YorkFit, error) {
	if len(ux) != len(points) || len(uy) != len(points) {
		return YorkFit{}, atFault(whole, fmt.Sprintf("%d uncertainties along x and %d along y for %d points", len(ux), len(uy), len(points)), "one of each for each point", ErrMismatch)
	}
	for i := range ux {
		for _, v := range []tolerance.Length{ux[i], uy[i]} {
			if !(v > 0) || math.IsInf(float64(v), 0) {
				return YorkFit{}, atFault(i, fmt.Sprintf("standard uncertainty %v mm", float64(v)), "a finite length above 0", fault.ErrOutOfRange)
			}
		}
	}
	c, err := newFlat(points, Uncertainty{}, 2)
	if err != nil {
		return YorkFit{}, err
	}
	axes, err := c.principalAxes()
	if err != nil {
		return YorkFit{}, err
	}
	const upright = 1e-9
	if math.Abs(axes.axis[0].X) < upright {
		return YorkFit{}, atFault(whole, "they stand one above the other", "points along x", fault.ErrUndefined)
	}
	y := yorkSystem{c: c, vx: make([]float64, len(ux)), vy: make([]float64, len(uy)), w: make([]float64, len(ux)), beta: make([]float64, len(ux))}
	for i := range ux {
		sx, sy := float64(ux[i])/c.scale, float64(uy[i])/c.scale
		y.vx[i], y.vy[i] = sx*sx, sy*sy
	}
	b := axes.axis[0].Y / axes.axis[0].X
	const (
		rounds = 1000
		still  = 1e-15
	)
	for range rounds {
		next := y.slope(b)
		if !finite(next) {
			break
		}
		if math.Abs(next-b) <= still*(math.Abs(b)+still) {
			return y.fit(next), nil
		}
		b = next
	}
	// Two slopes that differ in the last bit may follow each other.
	if next := y.slope(b); finite(next) && math.Abs(next-b) <= 1e-13*(1+math.Abs(b)) {
		return y.fit(next), nil
	}
	return YorkFit{}, atFault(whole, fmt.Sprintf("the slope does not settle near %g", b), "points nearer to a line", fault.ErrNotConverging)
}

type yorkSystem struct {
	c          *cloud
	vx, vy     []float64 // variances, in units
	w, beta    []float64
	xbar, ybar float64
	sw         float64
}

// slope is one round of the iteration.
func (y *yorkSystem) slope(b float64) float64 {
	var sw, sx, sy sum
	for i, p := range y.c.p {
		y.w[i] = 1 / (y.vy[i] + b*b*y.vx[i])
		sw.add(y.w[i])
		sx.add(y.w[i] * p.X)
		sy.add(y.w[i] * p.Y)
	}
	y.sw = sw.value()
	y.xbar, y.ybar = sx.value()/y.sw, sy.value()/y.sw
	var up, down sum
	for i, p := range y.c.p {
		u, v := p.X-y.xbar, p.Y-y.ybar
		y.beta[i] = y.w[i] * (u*y.vy[i] + b*v*y.vx[i])
		up.add(y.w[i] * y.beta[i] * v)
		down.add(y.w[i] * y.beta[i] * u)
	}
	return up.value() / down.value()
}

// fit evaluates the uncertainties at the adjusted points.
func (y *yorkSystem) fit(b float64) YorkFit {
	c := y.c
	f := YorkFit{Slope: b, Intercept: c.length(y.ybar-b*y.xbar) + tolerance.Length(c.origin.Y-b*c.origin.X), Freedom: len(c.p) - 2}
	var mean, spread, chi sum
	for i := range c.p {
		mean.add(y.w[i] * y.beta[i])
	}
	shift := mean.value() / y.sw
	for i, p := range c.p {
		u := y.beta[i] - shift
		spread.add(y.w[i] * u * u)
		e := p.Y - y.ybar - b*(p.X-y.xbar)
		chi.add(y.w[i] * e * e)
	}
	f.ChiSquare = chi.value()
	varSlope := 1 / spread.value()
	at := (y.xbar+shift)*c.scale + c.origin.X // mean of the adjusted x, mm
	f.USlope = math.Sqrt(varSlope)
	f.UIntercept = tolerance.Length(math.Sqrt(c.scale*c.scale/y.sw + at*at*varSlope))
	f.Covariance = -at * varSlope
	return f
}
