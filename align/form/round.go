package form

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// CircleFit is a circle associated with points of a cross-section; of a minimum zone, the mean circle.
// The zero value is not a fit.
type CircleFit struct {
	Centre    r2.Vec // mm
	Radius    tolerance.Length
	Rule      Rule
	Deviation Deviation     // roundness, from Radius, positive outward
	Cov       *mat.SymDense // covariance of (centre x, centre y, radius), mm²; nil without uncertainty, and for other rules than least squares
}

// CylinderFit is a cylinder associated with points. The zero value is not a fit.
type CylinderFit struct {
	Axis                       // Point is the foot of the points' mean on the axis; Direction has a positive z (or y, or x, when it has none)
	Radius    tolerance.Length // of a minimum zone, the mean
	Rule      Rule
	Ends      [2]r3.Vec     // the axis over the length that the points cover, first end lower along Direction
	Deviation Deviation     // cylindricity, from Radius, positive outward
	Cov       *mat.SymDense // covariance of (offset along U, offset along V, slope along U, slope along V) at Point, and of the radius, U and V the Axes of a plane square to the axis: mm², mm, 1; nil without uncertainty, and for other rules than least squares
}

// FitCircle fits a circle to three or more points of the plane. By least squares it is the least
// sum of squared distances from the circle (the geometric fit, not an algebraic one), in linear
// time. The other rules start from there: the minimum zone (roundness by ISO 1101) is the two
// nearest concentric circles that hold all points, two outer and two inner contacts taking turns
// round the circle; the smallest circle that holds all points is unique; the largest with none
// inside is the one that is reached from least squares, since larger ones lie outside the points.
//
// It returns [fault.ErrTooFew], [fault.ErrNotFinite], [fault.ErrOutOfRange], [ErrCoincident],
// [ErrCollinear], [fault.ErrNotConverging] when the sum keeps falling as the circle grows without
// end, [fault.ErrUndefined] when no circle of the rule is better than its neighbours, as on a short
// arc, and [fault.ErrConflict] for a rule that circles do not have.
//
// Source: W. Gander, G. H. Golub, R. Strebel, Least-squares fitting of circles and ellipses, BIT
// 34, 558, 1994; ISO 12181-1 (minimum zone, minimum circumscribed and maximum inscribed reference
// circles); T. J. Rivlin, Approximation by circles, Computing 21, 93, 1979 (contacts that take
// turns).
func FitCircle(points []r2.Vec, rule Rule, u Uncertainty) (CircleFit, error) {
	lifted := make([]r3.Vec, len(points))
	for i, p := range points {
		lifted[i] = r3.Vec{X: p.X, Y: p.Y}
	}
	f, err := fitRound(lifted, rule, u, 3, true)
	if err != nil {
		return CircleFit{}, err
	}
	return CircleFit{r2.Vec{X: f.Point.X, Y: f.Point.Y}, f.Radius, rule, f.Deviation, f.Cov}, nil
}

// FitCylinder fits a cylinder to five or more points. By least squares it is the least sum of
// squared distances from its surface, in linear time; where several cylinders fit (few points, or
// points of a short arc) the best of those found from many directions is returned. The other rules
// start from there: the minimum zone (cylindricity by ISO 1101) is the two nearest coaxial
// cylinders that hold all points; the smallest that holds all points, and the largest with none
// inside, are the datum cylinders of ISO 5459. They are better than all near them; of points rougher
// than a thousandth of the radius (3,000 at most) axes around the first are tried as well.
//
// It returns [fault.ErrTooFew], [fault.ErrNotFinite], [fault.ErrOutOfRange], [ErrCoincident],
// [ErrCollinear], [fault.ErrUndefined] when the points leave the axis free (as those of one
// cross-section do), or do not surround an inscribed cylinder, [fault.ErrNotConverging], and
// [fault.ErrConflict] for a rule that cylinders do not have.
//
// Source: A. B. Forbes, Least-squares best-fit geometric elements, NPL report DITC 140/89, 1989;
// ISO 12180-1 (minimum zone, minimum circumscribed and maximum inscribed reference cylinders); method:
// sequential linear programming.
func FitCylinder(points []r3.Vec, rule Rule, u Uncertainty) (CylinderFit, error) {
	return fitRound(points, rule, u, 5, false)
}

// fitRound fits a cylinder to so many points at least, or a circle to points of the plane z = 0.
func fitRound(points []r3.Vec, rule Rule, u Uncertainty, want int, flat bool) (CylinderFit, error) {
	c, err := newCloud(points, u, want)
	if err != nil {
		return CylinderFit{}, err
	}
	t, err := c.leastSquares(flat)
	if err != nil {
		return CylinderFit{}, err
	}
	if rule != LeastSquares {
		return c.zoneRound(t, rule)
	}
	fit := c.round(t, rule)
	f, m := t.frame(), t.unknowns()
	dims := []float64{c.scale, c.scale, 1, 1, 1}[:m+1]
	dims[m] = c.scale
	fit.Cov = c.uncertain(&fit.Deviation, dims, func(i int, row []float64) {
		f.outward(c.p[i], row[:m])
		row[m] = 1
	})
	return fit, nil
}

// round carries a tube out.
func (c *cloud) round(t tube, rule Rule) CylinderFit {
	f := t.frame()
	d := make([]float64, len(c.p))
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, p := range c.p {
		_, _, rho, z := f.see(p)
		d[i] = rho - t.r
		lo, hi = math.Min(lo, z), math.Max(hi, z)
	}
	fit := CylinderFit{Axis: Axis{Point: c.out(t.at), Direction: t.dir}, Radius: c.length(t.r), Rule: rule, Deviation: c.deviation(d)}
	fit.Ends = [2]r3.Vec{c.out(r3.Add(t.at, r3.Scale(lo, t.dir))), c.out(r3.Add(t.at, r3.Scale(hi, t.dir)))}
	return fit
}

// leastSquares descends from the algebraic circle, or to a cylinder from the most promising directions.
func (c *cloud) leastSquares(flat bool) (tube, error) {
	axes, err := c.spread()
	if err != nil {
		return tube{}, err
	}
	if flat {
		t, ok := c.newton(c.algebraic())
		if !ok || !(t.r > 0) {
			return tube{}, atFault(whole, "the best circle grows without end", "points of a circle rather than of a line", fault.ErrNotConverging)
		}
		return t, nil
	}
	if err := c.checkSolid(axes); err != nil {
		return tube{}, err
	}
	const want = "points around a cylinder, in two or more cross-sections"
	for _, start := range c.cylinderStarts(axes) {
		t, ok := c.newton(start)
		if !ok || !t.sound() {
			continue
		}
		g, h := make([]float64, 5), mat.NewSymDense(5, nil)
		t = t.settled(c.mean)
		c.squares(t, g, h)
		// Points of one circle leave slopes free: the Hessian then has no more than rounding in some
		// direction.
		const free = 1e-12 // of a point's share in a cloud of size 1
		var eigen mat.EigenSym
		if !eigen.Factorize(h, false) || eigen.Values(nil)[0] <= free*float64(len(c.p)) {
			return tube{}, atFault(whole, "they leave the axis free to tilt or move", want, fault.ErrUndefined)
		}
		return t, nil
	}
	return tube{}, atFault(whole, "no cylinder is better than all others near it", want, fault.ErrUndefined)
}
