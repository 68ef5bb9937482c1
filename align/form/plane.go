package form

import (
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
)

// Plane is the set of points q with Normal·(q - Point) = 0. Point in mm; Normal of length 1. The zero value is not a plane.
type Plane struct {
	Point  r3.Vec
	Normal r3.Vec
}

// Height returns how far q lies from the plane along its normal, in mm.
func (p Plane) Height(q r3.Vec) float64 { return r3.Dot(p.Normal, r3.Sub(q, p.Point)) }

// Axes returns two unit vectors U and V that span the plane; U, V and Normal are right-handed.
func (p Plane) Axes() (u, v r3.Vec) { return across(p.Normal) }

// coordinates returns the points' coordinates in the plane, in mm along its Axes from its Point: points of a cross-section, ready for a circle or a line.
func (p Plane) coordinates(points []r3.Vec) []r2.Vec {
	u, v := p.Axes()
	flat := make([]r2.Vec, len(points))
	for i, q := range points {
		d := r3.Sub(q, p.Point)
		flat[i] = r2.Vec{X: r3.Dot(u, d), Y: r3.Dot(v, d)}
	}
	return flat
}

// at is the inverse of coordinates for one point of the plane.
func (p Plane) at(q r2.Vec) r3.Vec {
	u, v := p.Axes()
	return r3.Add(p.Point, r3.Add(r3.Scale(q.X, u), r3.Scale(q.Y, v)))
}

// PlaneFit is a plane associated with points. The zero value is not a fit.
type PlaneFit struct {
	Plane                   // Point is the points' mean carried to the plane; Normal has a positive z (or y, or x, when it has none)
	Rule      Rule          // how it was associated
	Deviation Deviation     // flatness, peak and valley along Normal
	Cov       *mat.SymDense // covariance of (offset along Normal at Point, slope along U, slope along V), with U and V the Axes: mm², mm, 1; nil without uncertainty
	Proof     *Proof        // nil for least squares
}

// LeastSquaresPlane fits a plane to three or more points: the least sum of squared distances square to the plane. Its time is linear in the number of points.
//
// It returns [fault.ErrTooFew], [fault.ErrNotFinite], [fault.ErrOutOfRange], [ErrCoincident], [ErrCollinear], [ErrStation] when two rows give one station different heights (along the frame axis nearest to the normal), and [fault.ErrUndefined] when the points scatter alike in two directions, as the corners of a regular tetrahedron do.
//
// Source: A. B. Forbes, Least-squares best-fit geometric elements, NPL report DITC 140/89, 1989 (the smallest principal axis of the scatter about the mean).
func LeastSquaresPlane(points []r3.Vec, u Uncertainty) (PlaneFit, error) {
	c, err := newCloud(points, u, 3)
	if err != nil {
		return PlaneFit{}, err
	}
	axes, err := c.principalAxes()
	if err != nil {
		return PlaneFit{}, err
	}
	if err := c.checkSpread(axes); err != nil {
		return PlaneFit{}, err
	}
	if alike(axes.sq[1], axes.sq[2], axes.sq[0]) {
		return PlaneFit{}, atFault(whole, "they scatter alike in two directions", "points wider than they are thick", fault.ErrUndefined)
	}
	n := upright(axes.axis[2])
	if err := station(points, n); err != nil {
		return PlaneFit{}, err
	}
	fit := PlaneFit{Plane: Plane{Point: c.out(c.mean), Normal: n}}
	e1, e2 := fit.Axes()
	d := make([]float64, len(c.p))
	for i, p := range c.p {
		d[i] = r3.Dot(n, r3.Sub(p, c.mean))
	}
	fit.Deviation = c.deviation(d)
	fit.Cov = c.uncertain(&fit.Deviation, d, []float64{c.scale, 1, 1}, func(i int, row []float64) {
		q := r3.Sub(c.p[i], c.mean)
		row[0], row[1], row[2] = 1, r3.Dot(e1, q), r3.Dot(e2, q)
	})
	return fit, nil
}
