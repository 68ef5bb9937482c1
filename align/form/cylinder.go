package form

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Cylinder is a circular cylinder. The zero value is not a cylinder.
type Cylinder struct {
	Axis
	Radius tolerance.Length
}

// CylinderFit is a cylinder associated with points. The zero value is not a fit.
type CylinderFit struct {
	Cylinder     // Point is the foot of the points' mean on the axis; Direction has a positive z (or y, or x, when it has none); of a minimum zone, Radius is the mean
	Rule         Rule
	Inner, Outer tolerance.Length // radii of the cylinders about the axis that touch the points from inside and outside
	Ends         [2]r3.Vec        // the axis over the length that the points cover, first end lower along Direction
	Deviation    Deviation        // cylindricity, from Radius, positive outward
	Cov          *mat.SymDense    // covariance of (offset along U, offset along V, slope along U, slope along V) at Point, and of the radius, U and V the Axes of a plane square to the axis: mm², mm, 1; nil without uncertainty, and for other rules than least squares
	Proof        *Proof           // nil for least squares
}

// FitCylinder fits a cylinder to five or more points. By least squares it is the least sum of
// squared distances from its surface, in linear time; where several cylinders fit (few points, or
// points of a short arc) the best of those found from many directions is returned. The other rules
// start from there: the minimum zone (cylindricity by ISO 1101) is the two nearest coaxial
// cylinders that hold all points; the smallest that holds all points, and the largest with none
// inside, are the datum cylinders of ISO 5459. They are optima among the axes within Proof.Within,
// usually much more than the form error; when that is less, axes around the first are tried as
// well.
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
	c, err := newCloud(points, u, 5)
	if err != nil {
		return CylinderFit{}, err
	}
	s, err := c.leastSquaresCylinder()
	if err != nil {
		return CylinderFit{}, err
	}
	if rule != LeastSquares {
		return c.zoneCylinder(s, rule)
	}
	fit, d := c.cylinder(s, rule)
	f := s.frame()
	fit.Cov = c.uncertain(&fit.Deviation, d, []float64{c.scale, c.scale, 1, 1, c.scale}, func(i int, row []float64) {
		u1, u2, _, z := f.see(c.p[i])
		row[0], row[1], row[2], row[3], row[4] = u1, u2, z*u1, z*u2, 1
	})
	return fit, nil
}

// tube is a cylinder in units of the cloud.
type tube struct {
	at, dir r3.Vec
	r       float64
}

// around sets up the frame of a tube: the radial direction of point q in it, its distance from and
// its place along the axis.
type around struct {
	tube
	e1, e2 r3.Vec
}

func (t tube) frame() around {
	e1, e2 := across(t.dir)
	return around{tube: t, e1: e1, e2: e2}
}

func (a *around) see(q r3.Vec) (u1, u2, rho, z float64) {
	d := r3.Sub(q, a.at)
	x, y := r3.Dot(a.e1, d), r3.Dot(a.e2, d)
	z = r3.Dot(a.dir, d)
	rho = math.Sqrt(x*x + y*y)
	if rho == 0 {
		return 0, 0, 0, z
	}
	return x / rho, y / rho, rho, z
}

// sound reports whether a tube is one.
func (t tube) sound() bool {
	return t.r > 0 && finite(t.r, t.at.X, t.at.Y, t.at.Z, t.dir.X, t.dir.Y, t.dir.Z)
}

// move displaces the axis: shift along e1 and e2, slope along e1 and e2 over its direction.
func (t tube) move(step []float64) tube {
	f := t.frame()
	at := r3.Add(t.at, r3.Add(r3.Scale(step[0], f.e1), r3.Scale(step[1], f.e2)))
	dir := r3.Unit(r3.Add(t.dir, r3.Add(r3.Scale(step[2], f.e1), r3.Scale(step[3], f.e2))))
	r := t.r
	if len(step) > 4 {
		r += step[4]
	}
	return tube{at: at, dir: dir, r: r}
}

// settled moves the tube's point to the foot of the mean and turns the direction upright.
func (t tube) settled(mean r3.Vec) tube {
	t.dir = upright(t.dir)
	t.at = Axis{Point: t.at, Direction: t.dir}.nearest(mean)
	return t
}

// cylinder carries a tube out, with its deviations.
func (c *cloud) cylinder(t tube, rule Rule) (CylinderFit, []float64) {
	f := t.frame()
	d := make([]float64, len(c.p))
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, p := range c.p {
		_, _, rho, z := f.see(p)
		d[i] = rho - t.r
		lo, hi = math.Min(lo, z), math.Max(hi, z)
	}
	fit := CylinderFit{Cylinder: Cylinder{Axis: Axis{Point: c.out(t.at), Direction: t.dir}, Radius: c.length(t.r)}, Rule: rule, Deviation: c.deviation(d)}
	fit.Inner, fit.Outer = fit.Radius+fit.Deviation.Valley, fit.Radius+fit.Deviation.Peak
	fit.Ends = [2]r3.Vec{c.out(r3.Add(t.at, r3.Scale(lo, t.dir))), c.out(r3.Add(t.at, r3.Scale(hi, t.dir)))}
	return fit, d
}

// leastSquaresCylinder descends from the most promising directions.
func (c *cloud) leastSquaresCylinder() (tube, error) {
	axes, err := c.spread()
	if err != nil {
		return tube{}, err
	}
	if err := c.checkSolid(axes); err != nil {
		return tube{}, err
	}
	best, found := tube{}, false
	for _, start := range c.cylinderStarts(axes) {
		t, ok := newton(start, 5, c.evalCylinder, tube.move)
		if ok && t.sound() {
			best, found = t, true
			break
		}
	}
	if !found {
		return tube{}, atFault(whole, "no cylinder is better than all others near it", "points around a cylinder, in two or more cross-sections", fault.ErrUndefined)
	}
	g, h := make([]float64, 5), mat.NewSymDense(5, nil)
	best = best.settled(c.mean)
	c.evalCylinder(best, g, h)
	// Points of one circle leave slopes free: the Hessian then has no more than rounding in some
	// direction.
	const free = 1e-12 // of a point's share in a cloud of size 1
	var eigen mat.EigenSym
	if !eigen.Factorize(h, false) || eigen.Values(nil)[0] <= free*float64(len(c.p)) {
		return tube{}, atFault(whole, "they leave the axis free to tilt or move", "points around a cylinder, in two or more cross-sections", fault.ErrUndefined)
	}
	return best, nil
}

// evalCylinder is half the sum of (ρ - r)² with its derivatives for shifts, slopes and radius.
//
// With s the shift of the axis at a point's height and w its slope, ρ' = |ρu - s| - ρ(u·w)²/2 to
// second order.
func (c *cloud) evalCylinder(t tube, g []float64, h *mat.SymDense) float64 {
	f := t.frame()
	var gs [5]float64
	var hs [5][5]float64
	var squares float64
	for _, p := range c.p {
		u1, u2, rho, z := f.see(p)
		e := rho - t.r
		squares += e * e
		j := [5]float64{-u1, -u2, -z * u1, -z * u2, -1}
		bend := 0.0
		if rho > 0 {
			bend = e / rho
		}
		b := [4]float64{-u2, u1, -z * u2, z * u1}
		w := [4]float64{0, 0, u1, u2}
		for a := range 5 {
			gs[a] += e * j[a]
			for k := a; k < 5; k++ {
				hs[a][k] += j[a] * j[k]
				if k < 4 {
					hs[a][k] += bend*b[a]*b[k] - e*rho*w[a]*w[k]
				}
			}
		}
	}
	for a := range 5 {
		g[a] = gs[a]
		for k := a; k < 5; k++ {
			h.SetSym(a, k, hs[a][k])
		}
	}
	return squares / 2
}
