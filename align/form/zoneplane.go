package form

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/tolerance"
)

// slab is the search for the narrowest pair of parallel planes around the points, taken about their
// mean.
type slab struct {
	q     []r3.Vec
	strip strip
}

// zonePlane finds the minimum zone near the normal n.
func (c *cloud) zonePlane(fit *PlaneFit, n r3.Vec) bool {
	s := &slab{q: make([]r3.Vec, len(c.p)), strip: strip{m: 2, a: make([]float64, 2*len(c.p)), d: make([]float64, len(c.p)), box: 1}}
	reach := 0.0
	for i, p := range c.p {
		s.q[i] = r3.Sub(p, c.mean)
		reach = math.Max(reach, r3.Norm(s.q[i]))
	}
	n, sol, ok := s.narrow(upright(n))
	if up := upright(n); ok && up != n {
		n, sol, ok = s.narrow(up)
	}
	if !ok {
		return false
	}
	mid := (sol.hi + sol.lo) / 2
	fit.Plane = Plane{Point: c.out(r3.Add(c.mean, r3.Scale(mid, n))), Normal: n}
	d := make([]float64, len(s.q))
	for i, q := range s.q {
		d[i] = r3.Dot(n, q) - mid
	}
	fit.Deviation = c.deviation(d)
	sol.weights(&fit.Deviation)
	// A zone tilted by t is at least (w + g t)/√(1 + t²) wide, with w its width and g its growth.
	w, g := sol.value, s.strip.growth(&sol)
	within := tolerance.Length(math.Inf(1))
	if g < w {
		within = c.length(2 * g * w / (w*w - g*g) * reach)
	}
	fit.Proof = &Proof{Unbalance: s.strip.unbalance(&sol), Within: within}
	return true
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
		n = r3.Unit(r3.Sub(n, r3.Add(r3.Scale(sol.x[0], e1), r3.Scale(sol.x[1], e2))))
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
