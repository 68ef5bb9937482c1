package form

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Line is a straight line of the plane: Point in mm, Direction of length 1 with a positive x (or y, when it has no x). The zero value is not a line.
type Line struct {
	Point     r2.Vec
	Direction r2.Vec
}

// Slope returns dy/dx; infinite for a line along y.
func (l Line) Slope() float64 { return l.Direction.Y / l.Direction.X }

// Intercept returns y at x = 0, in mm; not finite for a line along y.
func (l Line) Intercept() float64 { return l.Point.Y - l.Point.X*l.Slope() }

// LineFit is a line associated with points of a profile. The zero value is not a fit.
type LineFit struct {
	Line
	Rule      Rule
	Deviation Deviation     // straightness, square to the line, positive to the left
	Cov       *mat.SymDense // covariance of (offset to the left at Point, slope): mm², mm, 1; nil without uncertainty
	Proof     *Proof        // nil for least squares
}

// LeastSquaresLine fits a line to two or more points of the plane: the least sum of squared distances square to the line. Its time is linear in the number of points.
//
// It returns [fault.ErrTooFew], [fault.ErrNotFinite], [fault.ErrOutOfRange], [ErrCoincident], [ErrStation] and, for points that scatter alike in all directions, [fault.ErrUndefined].
//
// Source: K. Pearson, On lines and planes of closest fit to systems of points in space, Phil. Mag. 2, 559, 1901.
func LeastSquaresLine(points []r2.Vec, u Uncertainty) (LineFit, error) {
	c, err := newFlat(points, u, 2)
	if err != nil {
		return LineFit{}, err
	}
	axes, err := c.principalAxes()
	if err != nil {
		return LineFit{}, err
	}
	if alike(axes.sq[0], axes.sq[1], axes.sq[0]) {
		return LineFit{}, atFault(whole, "they scatter alike in all directions", "points longer than they are wide", fault.ErrUndefined)
	}
	fit := c.line(c.mean, axes.axis[0])
	if err := fit.checkStations(points); err != nil {
		return LineFit{}, err
	}
	d := c.heights(c.mean, axes.axis[0], fit.Line)
	fit.Deviation = c.deviation(d)
	t := r3.Vec{X: fit.Direction.X, Y: fit.Direction.Y}
	fit.Cov = c.uncertain(&fit.Deviation, d, []float64{c.scale, 1}, func(i int, row []float64) {
		row[0], row[1] = 1, r3.Dot(t, r3.Sub(c.p[i], c.mean))
	})
	return fit, nil
}

// line carries a line of a flat cloud out.
func (c *cloud) line(at, dir r3.Vec) LineFit {
	if dir.X < 0 || dir.X == 0 && dir.Y < 0 {
		dir = r3.Scale(-1, dir)
	}
	p := c.out(at)
	return LineFit{Line: Line{Point: r2.Vec{X: p.X, Y: p.Y}, Direction: r2.Unit(r2.Vec{X: dir.X, Y: dir.Y})}}
}

// heights are the points' heights over a line of a flat cloud, to the left of l's direction.
func (c *cloud) heights(at, dir r3.Vec, l Line) []float64 {
	left := r3.Vec{X: -l.Direction.Y, Y: l.Direction.X}
	d := make([]float64, len(c.p))
	for i, p := range c.p {
		d[i] = r3.Dot(left, r3.Sub(p, at))
	}
	return d
}

func (f LineFit) checkStations(points []r2.Vec) error {
	lifted := make([]r3.Vec, len(points))
	for i, p := range points {
		lifted[i] = r3.Vec{X: p.X, Y: p.Y}
	}
	return station(lifted, r3.Vec{X: -f.Direction.Y, Y: f.Direction.X})
}

// Axis is a straight line in space: Point in mm, Direction of length 1. The zero value is not an axis.
type Axis struct {
	Point     r3.Vec
	Direction r3.Vec
}

// Distance returns how far q lies from the axis, in mm.
func (a Axis) Distance(q r3.Vec) float64 {
	return r3.Norm(r3.Cross(a.Direction, r3.Sub(q, a.Point)))
}

// nearest returns the point of the axis nearest to q.
func (a Axis) nearest(q r3.Vec) r3.Vec {
	return r3.Add(a.Point, r3.Scale(r3.Dot(a.Direction, r3.Sub(q, a.Point)), a.Direction))
}

// AxisFit is a straight line in space associated with points, such as the centres of cross-sections. The zero value is not a fit.
type AxisFit struct {
	Axis                      // Point is the points' mean; Direction has a positive z (or y, or x, when it has none)
	Diameter tolerance.Length // of the narrowest cylinder about this axis that holds all points: straightness as a cylindrical zone
	RMS      tolerance.Length // root mean square distance, divisor n
	Far      []Contact        // the farthest points
	Cov      *mat.SymDense    // covariance of (offset along U, offset along V, slope along U, slope along V) at Point, U and V those of a plane square to the axis: mm², mm, 1; nil without uncertainty
}

// LeastSquaresAxis fits a straight line in space to two or more points. Its time is linear in the number of points.
//
// It returns the errors of [LeastSquaresLine] but [ErrStation].
//
// Source: A. B. Forbes, Least-squares best-fit geometric elements, NPL report DITC 140/89, 1989.
func LeastSquaresAxis(points []r3.Vec, u Uncertainty) (AxisFit, error) {
	c, err := newCloud(points, u, 2)
	if err != nil {
		return AxisFit{}, err
	}
	axes, err := c.principalAxes()
	if err != nil {
		return AxisFit{}, err
	}
	if alike(axes.sq[0], axes.sq[1], axes.sq[0]) {
		return AxisFit{}, atFault(whole, "they scatter alike in two directions", "points longer than they are wide", fault.ErrUndefined)
	}
	dir := upright(axes.axis[0])
	fit := AxisFit{Axis: Axis{Point: c.out(c.mean), Direction: dir}}
	d := make([]float64, len(c.p))
	for i, p := range c.p {
		d[i] = r3.Norm(r3.Cross(dir, r3.Sub(p, c.mean)))
	}
	dev := c.deviation(d)
	fit.Diameter, fit.RMS, fit.Far = 2*dev.Peak, dev.RMS, dev.High
	one := c.uncertain(&dev, d, []float64{c.scale, 1}, func(i int, row []float64) {
		row[0], row[1] = 1, r3.Dot(dir, r3.Sub(c.p[i], c.mean))
	})
	if one == nil {
		return fit, nil
	}
	share := 1.0
	if c.own {
		share = 0.5 // the squares are of two components, with 2n - 4 degrees of freedom
	}
	fit.Cov = mat.NewSymDense(4, nil)
	for a := range 2 {
		for b := range 2 {
			fit.Cov.SetSym(2*a, 2*b, share*one.At(a, b))
			fit.Cov.SetSym(2*a+1, 2*b+1, share*one.At(a, b))
		}
	}
	return fit, nil
}

// finite reports whether all numbers are.
func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
