package form

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Circle is a circle of the plane: Centre in mm. The zero value is not a circle.
type Circle struct {
	Centre r2.Vec
	Radius tolerance.Length
}

// CircleFit is a circle associated with points of a cross-section. The zero value is not a fit.
type CircleFit struct {
	Circle       // of a minimum zone, the mean circle
	Rule         Rule
	Inner, Outer tolerance.Length // radii of the circles about Centre that touch the points from inside and outside
	Deviation    Deviation        // roundness, from Radius, positive outward
	Cov          *mat.SymDense    // covariance of (centre x, centre y, radius), mm²; nil without uncertainty, and for other rules than least squares
	Proof        *Proof           // nil for least squares
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
	c, err := newFlat(points, u, 3)
	if err != nil {
		return CircleFit{}, err
	}
	s, err := c.leastSquaresCircle()
	if err != nil {
		return CircleFit{}, err
	}
	if rule != LeastSquares {
		return c.zoneCircle(s, rule)
	}
	fit, d := c.circle(s, rule)
	fit.Cov = c.uncertain(&fit.Deviation, d, []float64{c.scale, c.scale, c.scale}, func(i int, row []float64) {
		row[0], row[1], _ = c.polar(i, s.x, s.y)
		row[2] = 1
	})
	return fit, nil
}

// round is a circle in units of the cloud.
type round struct{ x, y, r float64 }

// polar returns the direction from a centre to point i and its distance.
func (c *cloud) polar(i int, x, y float64) (ux, uy, rho float64) {
	dx, dy := c.p[i].X-x, c.p[i].Y-y
	rho = math.Sqrt(dx*dx + dy*dy)
	if rho == 0 {
		return 0, 0, 0
	}
	return dx / rho, dy / rho, rho
}

// circle carries a circle out, with its deviations.
func (c *cloud) circle(s round, rule Rule) (CircleFit, []float64) {
	d := make([]float64, len(c.p))
	for i := range d {
		_, _, rho := c.polar(i, s.x, s.y)
		d[i] = rho - s.r
	}
	p := c.out(r3.Vec{X: s.x, Y: s.y})
	fit := CircleFit{Circle: Circle{Centre: r2.Vec{X: p.X, Y: p.Y}, Radius: c.length(s.r)}, Rule: rule, Deviation: c.deviation(d)}
	fit.Inner, fit.Outer = fit.Radius+fit.Deviation.Valley, fit.Radius+fit.Deviation.Peak
	return fit, d
}

// leastSquaresCircle descends from the algebraic fit.
func (c *cloud) leastSquaresCircle() (round, error) {
	if _, err := c.spread(); err != nil {
		return round{}, err
	}
	s, ok := newton(c.algebraic(), 3, c.evalCircle, func(s round, step []float64) round {
		return round{s.x + step[0], s.y + step[1], s.r + step[2]}
	})
	if !ok || !(s.r > 0) {
		return round{}, atFault(whole, "the best circle grows without end", "points of a circle rather than of a line", fault.ErrNotConverging)
	}
	return s, nil
}

// evalCircle is half the sum of (ρ - r)² with its derivatives for x, y, r.
func (c *cloud) evalCircle(s round, g []float64, h *mat.SymDense) float64 {
	var gx, gy, gr, f float64
	var hxx, hxy, hyy, hxr, hyr float64
	for i := range c.p {
		ux, uy, rho := c.polar(i, s.x, s.y)
		e := rho - s.r
		gx -= e * ux
		gy -= e * uy
		gr -= e
		f += e * e
		bend := 0.0
		if rho > 0 {
			bend = e / rho
		}
		hxx += ux*ux + bend*uy*uy
		hyy += uy*uy + bend*ux*ux
		hxy += ux*uy - bend*ux*uy
		hxr += ux
		hyr += uy
	}
	g[0], g[1], g[2] = gx, gy, gr
	h.SetSym(0, 0, hxx)
	h.SetSym(0, 1, hxy)
	h.SetSym(1, 1, hyy)
	h.SetSym(0, 2, hxr)
	h.SetSym(1, 2, hyr)
	h.SetSym(2, 2, float64(len(c.p)))
	return f / 2
}

// algebraic is a circle from moments alone, a start for the geometric one that keeps its size over
// short arcs. The points must span an area.
//
// Source: G. Taubin, Estimation of planar curves, surfaces and nonplanar space curves, IEEE Trans.
// PAMI 13, 1115, 1991; in the form of N. Chernov, Circular and Linear Regression, 2010, chapter 5
// (Newton's method for the least root) (from memory).
func (c *cloud) algebraic() round {
	n := float64(len(c.p))
	var sxx, sxy, syy, sxz, syz, szz float64
	for _, p := range c.p {
		x, y := p.X-c.mean.X, p.Y-c.mean.Y
		z := x*x + y*y
		sxx += x * x
		sxy += x * y
		syy += y * y
		sxz += x * z
		syz += y * z
		szz += z * z
	}
	sxx, sxy, syy, sxz, syz, szz = sxx/n, sxy/n, syy/n, sxz/n, syz/n, szz/n
	z := sxx + syy
	area, spread := sxx*syy-sxy*sxy, szz-z*z
	a3, a2 := 4*z, -3*z*z-szz
	a1 := spread*z + 4*area*z - sxz*sxz - syz*syz
	a0 := sxz*(sxz*syy-syz*sxy) + syz*(syz*sxx-sxz*sxy) - spread*area
	// The polynomial falls towards its least root from 0 on.
	root, value := 0.0, math.Inf(1)
	const rounds = 50
	for range rounds {
		v := a0 + root*(a1+root*(a2+root*a3))
		if !(math.Abs(v) < value) {
			break
		}
		value = math.Abs(v)
		next := root - v/(a1+root*(2*a2+3*a3*root))
		if next == root || !finite(next) || next < 0 {
			break
		}
		root = next
	}
	det := 2 * (root*root - root*z + area)
	x, y := (sxz*(syy-root)-syz*sxy)/det, (syz*(sxx-root)-sxz*sxy)/det
	return round{c.mean.X + x, c.mean.Y + y, math.Sqrt(x*x + y*y + z)}
}
