package form

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/internal/ieee"
)

// tube is a cylinder in units of the cloud. A flat one is a circle of the plane z = 0: its axis is
// along z and does not tilt.
type tube struct {
	at, dir r3.Vec
	r       float64
	flat    bool
}

// unknowns is how many displacements a tube has: two shifts, and two slopes unless it is flat.
func (t tube) unknowns() int {
	if t.flat {
		return 2
	}
	return 4
}

// around is a tube with two directions square to its axis.
type around struct {
	tube
	e1, e2 r3.Vec
}

func (t tube) frame() around {
	if t.flat {
		return around{t, r3.Vec{X: 1}, r3.Vec{Y: 1}}
	}
	e1, e2 := across(t.dir)
	return around{t, e1, e2}
}

// see is the radial direction of a point in the frame, its distance from and its place along the axis.
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

// outward writes by how much less far from the axis a point is for each displacement of the tube,
// and returns its distance from the axis.
func (a *around) outward(q r3.Vec, row []float64) (rho float64) {
	u1, u2, rho, z := a.see(q)
	row[0], row[1] = u1, u2
	if !a.flat {
		row[2], row[3] = z*u1, z*u2
	}
	return rho
}

// sound reports whether a tube is one.
func (t tube) sound() bool {
	return t.r > 0 && ieee.Finite(t.r, t.at.X, t.at.Y, t.at.Z, t.dir.X, t.dir.Y, t.dir.Z)
}

// move displaces the axis: shift along e1 and e2, slope along e1 and e2 over its direction; and the
// radius by what the step has besides.
func (t tube) move(step []float64) tube {
	f, m := t.frame(), t.unknowns()
	t.at = r3.Add(t.at, r3.Add(r3.Scale(step[0], f.e1), r3.Scale(step[1], f.e2)))
	if !t.flat {
		t.dir = r3.Unit(r3.Add(t.dir, r3.Add(r3.Scale(step[2], f.e1), r3.Scale(step[3], f.e2))))
	}
	if len(step) > m {
		t.r += step[m]
	}
	return t
}

// settled moves a cylinder's point to the foot of the mean and turns the direction upright.
func (t tube) settled(mean r3.Vec) tube {
	if !t.flat {
		t.dir = upright(t.dir)
		t.at = Axis{Point: t.at, Direction: t.dir}.nearest(mean)
	}
	return t
}

// squares is half the sum of (ρ - r)² with its derivatives for displacements and radius.
//
// With s the shift of the axis at a point's height and w its slope, ρ' = |ρu - s| - ρ(u·w)²/2 to
// second order.
func (c *cloud) squares(t tube, g []float64, h *mat.SymDense) float64 {
	f, m := t.frame(), t.unknowns()
	var gs [5]float64
	var hs [5][5]float64
	var squares float64
	for _, p := range c.p {
		u1, u2, rho, z := f.see(p)
		e := rho - t.r
		squares += e * e
		bend := 0.0
		if rho > 0 {
			bend = e / rho
		}
		j := [5]float64{-u1, -u2, -z * u1, -z * u2}
		b := [5]float64{-u2, u1, -z * u2, z * u1}
		w := [5]float64{0, 0, u1, u2}
		j[m], b[m], w[m] = -1, 0, 0 // of the radius
		for a := range m + 1 {
			gs[a] += e * j[a]
			for k := a; k <= m; k++ {
				hs[a][k] += j[a] * j[k]
				hs[a][k] += bend*b[a]*b[k] - e*rho*w[a]*w[k]
			}
		}
	}
	for a := range m + 1 {
		g[a] = gs[a]
		for k := a; k <= m; k++ {
			h.SetSym(a, k, hs[a][k])
		}
	}
	return squares / 2
}

// newton finds the tube of the least sum of squares near one. Steps are damped until the sum falls,
// then undamped until they are lost in rounding. It reports whether it arrived.
//
// Source: K. Levenberg, A method for the solution of certain non-linear problems in least squares,
// 1944, with the full Hessian, so that it also arrives fast when the form error is not small.
func (c *cloud) newton(t tube) (tube, bool) {
	const (
		rounds  = 400
		polish  = 1e-5  // below this, comparing sums says nothing: they agree to half the digits of a step
		arrived = 4e-16 // of a cloud of size 1
		afar    = 1e3   // sizes of the cloud: the feature runs off to infinity
		damped  = 1e-4  // damping to begin with, a share of the mean curvature
		free    = 1e-8  // damping that no longer slows Newton's method
		stuck   = 1e12  // damping under which steps are rounding
	)
	k := t.unknowns() + 1
	g, trial := make([]float64, k), make([]float64, k)
	h, ht := mat.NewSymDense(k, nil), mat.NewSymDense(k, nil)
	f := c.squares(t, g, h)
	damp, before := 0.0, math.Inf(1)
	for range rounds {
		step, ok := dampedStep(g, h, damp)
		if !ok {
			damp = math.Max(4*damp, damped)
			continue
		}
		size := mat.Norm(step, math.Inf(1))
		next := t.move(step.RawVector().Data)
		if damp == 0 && size < polish {
			// Quadratic now: stop when steps no longer shrink.
			if size <= arrived || size >= before/2 {
				return t, true
			}
			before, t = size, next
			f = c.squares(t, g, h)
			continue
		}
		before = math.Inf(1)
		if fn := c.squares(next, trial, ht); fn < f && size <= afar {
			t, f = next, fn
			copy(g, trial)
			h.CopySym(ht)
			if damp /= 10; damp < free {
				damp = 0
			}
			continue
		}
		if damp > stuck {
			return t, false
		}
		damp = math.Max(4*damp, damped)
	}
	return t, false
}

// dampedStep solves (H + damp·mean diagonal of H) step = -g; it fails where that is not positive
// definite.
func dampedStep(g []float64, h *mat.SymDense, damp float64) (*mat.VecDense, bool) {
	k := len(g)
	m := mat.NewSymDense(k, nil)
	m.CopySym(h)
	for i := range k {
		m.SetSym(i, i, h.At(i, i)+damp*(mat.Trace(h)/float64(k)))
	}
	var chol mat.Cholesky
	if !chol.Factorize(m) {
		return nil, false
	}
	step := mat.NewVecDense(k, nil)
	// A condition error still leaves the step; the caller judges it by the sum.
	_ = chol.SolveVecTo(step, mat.NewVecDense(k, g))
	step.ScaleVec(-1, step)
	return step, ieee.Finite(step.RawVector().Data...)
}

// algebraic is a circle through points of the plane from moments alone, a start for the geometric
// one that keeps its size over short arcs. The points must span an area.
//
// Source: G. Taubin, Estimation of planar curves, surfaces and nonplanar space curves, IEEE Trans.
// PAMI 13, 1115, 1991; in the form of N. Chernov, Circular and Linear Regression, 2010, chapter 5
// (Newton's method for the least root) (from memory).
func (c *cloud) algebraic() tube {
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
		if next == root || !ieee.Finite(next) || next < 0 {
			break
		}
		root = next
	}
	det := 2 * (root*root - root*z + area)
	x, y := (sxz*(syy-root)-syz*sxy)/det, (syz*(sxx-root)-sxz*sxy)/det
	return tube{at: r3.Vec{X: c.mean.X + x, Y: c.mean.Y + y}, dir: r3.Vec{Z: 1}, r: math.Sqrt(x*x + y*y + z), flat: true}
}
