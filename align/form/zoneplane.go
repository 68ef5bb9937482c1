package form

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// slab is the search for the narrowest pair of parallel planes around the points, taken about their mean.
type slab struct {
	c      *cloud
	q      []r3.Vec
	strip  strip
	effort int // points looked at by the proof
}

// MinimumZonePlane finds the two parallel planes nearest to each other that hold all of three or more points (flatness, ISO 1101); the plane returned lies midway. It is the narrowest over all directions: the search goes on until the rest of the directions is proved wider, or gives up and says so in the proof's Gap.
//
// At the optimum the high and low contacts, projected along the normal, have a point in common: one inside a triangle of three, or two crossing lines of two. Points that fit several zones alike (corners of a tetrahedron) give one of them.
//
// It returns [fault.ErrTooFew], [fault.ErrNotFinite], [fault.ErrOutOfRange], [ErrCoincident], [ErrCollinear] and [ErrStation].
//
// Source: ISO 1101 (flatness); M. E. Houle, G. T. Toussaint, Computing the width of a set, IEEE Trans. PAMI 10, 761, 1988 (contact of a vertex with a face, or of two edges).
func MinimumZonePlane(points []r3.Vec, u Uncertainty) (PlaneFit, error) {
	fit, _, _, err := zonePlane(points, u)
	return fit, err
}

// zonePlane also returns the search and the solution, for the covariance of the zone's sides.
func zonePlane(points []r3.Vec, u Uncertainty) (PlaneFit, *slab, *solution, error) {
	fail := func(err error) (PlaneFit, *slab, *solution, error) { return PlaneFit{}, nil, nil, err }
	c, err := newZoneCloud(points, u, 3)
	if err != nil {
		return fail(err)
	}
	axes, err := c.principalAxes()
	if err != nil {
		return fail(err)
	}
	if err := c.checkSpread(axes); err != nil {
		return fail(err)
	}
	s := &slab{c: c, q: make([]r3.Vec, len(c.p))}
	for i, p := range c.p {
		s.q[i] = r3.Sub(p, c.mean)
	}
	n, sol, ok := s.narrow(axes.axis[2])
	if !ok {
		return fail(atFault(whole, "the exchange of contacts does not end", "points of moderate size", fault.ErrNotConverging))
	}
	bound, n, sol := s.prove(n, sol)
	if upright(n) != n {
		if n, sol, ok = s.narrow(upright(n)); !ok {
			return fail(atFault(whole, "the exchange of contacts does not end", "points of moderate size", fault.ErrNotConverging))
		}
	}
	if err := station(points, n); err != nil {
		return fail(err)
	}
	mid := (sol.hi + sol.lo) / 2
	fit := PlaneFit{Plane: Plane{Point: c.out(r3.Add(c.mean, r3.Scale(mid, n))), Normal: n}, Rule: MinimumZone}
	d := make([]float64, len(s.q))
	for i, q := range s.q {
		d[i] = r3.Dot(n, q) - mid
	}
	fit.Deviation = c.deviation(d)
	sol.weights(&fit.Deviation)
	fit.Deviation.UTotal = c.zoneSpread(&s.strip, &sol)
	fit.Cov = s.covariance(&sol, middle)
	fit.Proof = c.proof(&s.strip, &sol, fit.Deviation.Total, bound, Everyone)
	return fit, s, &sol, nil
}

func (s *slab) covariance(sol *solution, at level) *mat.SymDense {
	return s.c.zoneCovariance(&s.strip, sol, at, true, []float64{s.c.scale, 1, 1})
}

// newZoneCloud is newCloud without the uncertainty from residuals, which a zone does not have.
func newZoneCloud(points []r3.Vec, u Uncertainty, want int) (*cloud, error) {
	c, err := newCloud(points, u, want)
	if err == nil && c.own {
		return nil, errOwn()
	}
	return c, err
}

func errOwn() error {
	return atFault(whole, "uncertainty from the scatter about contacts", "an uncertainty stated, or none: contacts have no scatter", fault.ErrUndefined)
}

// proof makes the certificate; bound in units.
func (c *cloud) proof(s *strip, sol *solution, value tolerance.Length, bound float64, reach Reach) *Proof {
	p := &Proof{Unbalance: s.unbalance(sol), Bound: min(c.length(bound), value), Reach: reach}
	p.Gap = value - p.Bound
	return p
}

// narrow tilts the normal to a zone that no small tilt makes narrower. Each round solves the strip for the plane's slopes, exact for the tilted plane's heights, and takes the new normal; a slope x narrows the zone further by 1/√(1+x²), so that rounds never widen it.
func (s *slab) narrow(n r3.Vec) (r3.Vec, solution, bool) {
	const (
		rounds = 200
		still  = 1e-9 // slopes that change the width by no more than their square
	)
	for range rounds {
		sol, ok := s.tilt(n, 1)
		if !ok {
			return n, sol, false
		}
		e1, e2 := across(n)
		x := math.Hypot(sol.x[0], sol.x[1])
		if x == 0 {
			return n, sol, true
		}
		next := r3.Unit(r3.Sub(n, r3.Add(r3.Scale(sol.x[0], e1), r3.Scale(sol.x[1], e2))))
		if x < still {
			again, ok := s.tilt(next, 1)
			return next, again, ok
		}
		n = next
	}
	sol, ok := s.tilt(n, 1)
	return n, sol, ok
}

// tilt solves the strip of heights over the plane square to n.
func (s *slab) tilt(n r3.Vec, box float64) (solution, bool) {
	e1, e2 := across(n)
	return s.over(n, e1, e2, box)
}

func (s *slab) over(n, e1, e2 r3.Vec, box float64) (solution, bool) {
	if s.strip.a == nil {
		s.strip = strip{m: 2, a: make([]float64, 2*len(s.q)), d: make([]float64, len(s.q))}
	}
	s.strip.box = box
	for i, q := range s.q {
		s.strip.a[2*i], s.strip.a[2*i+1], s.strip.d[i] = r3.Dot(e1, q), r3.Dot(e2, q), r3.Dot(n, q)
	}
	return s.strip.solve()
}
