package form

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
)

// Plane is the set of points q with Normal·(q - Point) = 0. Point in mm; Normal of length 1. The zero
// value is not a plane.
type Plane struct {
	Point  r3.Vec
	Normal r3.Vec
}

// Height returns how far q lies from the plane along its normal, in mm.
func (p Plane) Height(q r3.Vec) float64 { return r3.Dot(p.Normal, r3.Sub(q, p.Point)) }

// Axes returns two unit vectors U and V that span the plane; U, V and Normal are right-handed.
func (p Plane) Axes() (u, v r3.Vec) { return across(p.Normal) }

// PlaneFit is a plane associated with points. The zero value is not a fit.
type PlaneFit struct {
	Plane                   // Point is the points' mean carried to the plane; Normal has a positive z (or y, or x, when it has none)
	Rule      Rule          // how it was associated
	Deviation Deviation     // flatness, peak and valley along Normal
	Cov       *mat.SymDense // covariance of (offset along Normal at Point, slope along U, slope along V), with U and V the Axes: mm², mm, 1; nil without uncertainty, and for other rules than least squares
}

// FitPlane fits a plane to three or more points by least squares (the least sum of squared distances
// square to the plane) or by the minimum zone (flatness by ISO 1101: the two nearest parallel planes
// that hold all points, and the plane midway between them). Time is linear in the number of points for
// least squares, and nearly so for the zone.
//
// The zone starts from the plane across the narrowest principal axis and tilts until no tilt makes it
// narrower. At the optimum the high and low contacts, projected along the normal, have a point in
// common: one inside a triangle of three, or two crossing lines of two.
//
// It returns [fault.ErrTooFew], [fault.ErrNotFinite], [fault.ErrOutOfRange], [ErrCoincident],
// [ErrCollinear], [ErrStation] when two rows give one station different heights (along the frame axis
// nearest to the normal), [fault.ErrUndefined] when the points scatter alike in two directions, as the
// corners of a regular tetrahedron do, and [fault.ErrConflict] for another rule.
//
// Source: A. B. Forbes, Least-squares best-fit geometric elements, NPL report DITC 140/89, 1989 (the
// smallest principal axis of the scatter about the mean); ISO 1101 (flatness); M. E. Houle,
// G. T. Toussaint, Computing the width of a set, IEEE Trans. PAMI 10, 761, 1988 (contacts).
func FitPlane(points []r3.Vec, rule Rule, u Uncertainty) (PlaneFit, error) {
	c, err := newCloud(points, u, 3)
	if err != nil {
		return PlaneFit{}, err
	}
	axes, err := c.spread()
	if err != nil {
		return PlaneFit{}, err
	}
	fit := PlaneFit{Rule: rule}
	switch rule {
	case LeastSquares: // across the narrowest principal axis
		if axes.size[1]*axes.size[1]-axes.size[2]*axes.size[2] <= alike*axes.size[0]*axes.size[0] {
			return PlaneFit{}, atFault(whole, "they scatter alike in two directions", "points wider than they are thick", fault.ErrUndefined)
		}
		c.place(&fit, upright(axes.axis[2]), 0)
		e1, e2 := fit.Axes()
		fit.Cov = c.uncertain(&fit.Deviation, []float64{c.scale, 1, 1}, func(i int, row []float64) {
			q := r3.Sub(c.p[i], c.mean)
			row[0], row[1], row[2] = 1, r3.Dot(e1, q), r3.Dot(e2, q)
		})
	case MinimumZone:
		if !c.zonePlane(&fit, axes.axis[2]) {
			return PlaneFit{}, unending()
		}
	default:
		return PlaneFit{}, unknownRule(rule, "least squares or minimum zone")
	}
	return fit, station(points, fit.Normal)
}

// place puts the plane so far along n from the points' mean.
func (c *cloud) place(fit *PlaneFit, n r3.Vec, along float64) {
	fit.Plane = Plane{Point: c.out(r3.Add(c.mean, r3.Scale(along, n))), Normal: n}
	d := make([]float64, len(c.p))
	for i, p := range c.p {
		d[i] = r3.Dot(n, r3.Sub(p, c.mean)) - along
	}
	fit.Deviation = c.deviation(d)
}

// alike is the share of the widest axis' square by which the two narrow ones may differ by rounding.
const alike = 1e-12

// onOneLine is the share of the product of its spreads that the determinant of points over (x, y) must
// have left, of which rounding is 2⁻⁵³ a term; below it they lie on one line.
const onOneLine = 1e-14

// PlaneOver returns the plane z + sx·x + sy·y of least squares of the points' heights over (x, y), in
// mm and ratios: the regression that measured faces seat by. It is worked out about the centroid, so
// that it keeps its digits far from the origin. Points on one line give a level plane at their mean
// height; none give NaN.
func PlaneOver(points []r3.Vec) (z, sx, sy float64) {
	var c r3.Vec
	for _, p := range points {
		c = r3.Add(c, p)
	}
	c = r3.Scale(1/float64(len(points)), c)
	var xx, xy, yy, xz, yz float64
	for _, p := range points {
		x, y, z := p.X-c.X, p.Y-c.Y, p.Z-c.Z
		xx += x * x
		xy += x * y
		yy += y * y
		xz += x * z
		yz += y * z
	}
	d := xx*yy - xy*xy
	if !(math.Abs(d) > onOneLine*xx*yy) {
		return c.Z, 0, 0
	}
	sx, sy = (xz*yy-yz*xy)/d, (yz*xx-xz*xy)/d
	return c.Z - sx*c.X - sy*c.Y, sx, sy
}

// slab is the search for the narrowest pair of parallel planes around the points, taken about their
// mean.
type slab struct {
	q     []r3.Vec
	strip strip
}

// zonePlane finds the minimum zone near the normal n.
func (c *cloud) zonePlane(fit *PlaneFit, n r3.Vec) bool {
	s := &slab{q: make([]r3.Vec, len(c.p)), strip: strip{m: 2, a: make([]float64, 2*len(c.p)), d: make([]float64, len(c.p)), box: 1}}
	for i, p := range c.p {
		s.q[i] = r3.Sub(p, c.mean)
	}
	n, sol, ok := s.narrow(upright(n))
	if ok {
		c.place(fit, n, (sol.hi+sol.lo)/2)
	}
	return ok
}

// narrow tilts the normal to a zone that no small tilt makes narrower. Each round solves the strip for
// the plane's slopes, exact for the tilted plane's heights, and takes the new normal; a slope x
// narrows the zone further by 1/√(1+x²), so that rounds never widen it.
func (s *slab) narrow(n r3.Vec) (r3.Vec, solution, bool) {
	const (
		rounds = 200
		still  = 1e-9 // slopes that change the width by no more than their square
	)
	for range rounds {
		sol, ok := s.tilt(n)
		if !ok {
			return n, sol, false
		}
		e1, e2 := across(n)
		x := math.Hypot(sol.x[0], sol.x[1])
		if x == 0 {
			return n, sol, true
		}
		n = upright(r3.Unit(r3.Sub(n, r3.Add(r3.Scale(sol.x[0], e1), r3.Scale(sol.x[1], e2)))))
		if x < still {
			break
		}
	}
	sol, ok := s.tilt(n)
	return n, sol, ok
}

// tilt solves the strip of heights over the plane square to n.
func (s *slab) tilt(n r3.Vec) (solution, bool) {
	e1, e2 := across(n)
	for i, q := range s.q {
		s.strip.a[2*i], s.strip.a[2*i+1], s.strip.d[i] = r3.Dot(e1, q), r3.Dot(e2, q), r3.Dot(n, q)
	}
	return s.strip.solve()
}
