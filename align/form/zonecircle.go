package form

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"example.com/borestack/fault"
)

// ring is the search for concentric circles around the points of a flat cloud.
type ring struct {
	c      *cloud
	strip  strip
	reach  float64 // of the points from their mean
	view   float64 // how far from the mean centres are looked for
	effort int
	open   bool // somewhere the zone narrows as the circle grows without end
}

type centre struct{ x, y float64 }

// A centre may lie as far from the points' mean as outlook times their reach, or fromCentre times the distance of the least-squares centre.
const (
	outlook    = 10
	fromCentre = 2
)

// MinimumZoneCircle finds the two concentric circles nearest to each other that hold all of three or more points between them (roundness, ISO 1101); the circle returned lies midway. It is the narrowest over all centres within ten times the points' reach of their mean, or twice the distance of the least-squares centre, proved as in [MinimumZonePlane]. Over a short arc a straight zone may be narrower than any round one: the narrowest that small movements widen is then returned, and the proof's Reach is Nearby.
//
// At the optimum two outer and two inner contacts alternate round the circle.
//
// It returns [fault.ErrTooFew], [fault.ErrNotFinite], [fault.ErrOutOfRange], [ErrCoincident], [ErrCollinear], and [fault.ErrUndefined] when no circle is better than its neighbours.
//
// Source: ISO 1101 (roundness), ISO 12181-1 (minimum zone reference circles, RONt); T. J. Rivlin, Approximation by circles, Computing 21, 93, 1979 (alternating contacts).
func MinimumZoneCircle(points []r2.Vec, u Uncertainty) (CircleFit, error) {
	r, start, err := newRing(points, u, both)
	if err != nil {
		return CircleFit{}, err
	}
	r.load(start)
	least := r.strip.measure()
	at, sol, ok := r.descend(start)
	if !ok {
		// The least-squares circle led astray: look from everywhere.
		at, sol, ok = r.anywhere()
	}
	if !ok || sol.value > least {
		return CircleFit{}, atFault(whole, "no zone is narrower than all others near it", "points of a circle rather than of a line", fault.ErrUndefined)
	}
	bound, at, sol := r.prove(at, sol)
	reach := Everyone
	if r.open {
		reach = Nearby
	}
	mid := (slices.Max(r.strip.d) + slices.Min(r.strip.d)) / 2
	fit, _ := r.c.circle(at.x, at.y, mid, MinimumZone)
	r.finish(&fit, &sol)
	fit.Proof = r.c.proof(&r.strip, &sol, fit.Deviation.Total, bound, reach)
	return fit, nil
}

// newRing prepares a search that starts at the least-squares centre.
func newRing(points []r2.Vec, u Uncertainty, side sides) (*ring, centre, error) {
	c, err := newFlat(points, u, 3)
	if err != nil {
		return nil, centre{}, err
	}
	if c.own {
		return nil, centre{}, errOwn()
	}
	s, err := c.leastSquaresCircle()
	if err != nil {
		axes, axesErr := c.principalAxes()
		if axesErr != nil {
			return nil, centre{}, axesErr
		}
		if err := c.checkSpread(axes); err != nil {
			return nil, centre{}, err
		}
		s = round{x: c.mean.X, y: c.mean.Y}
	}
	n := len(c.p)
	r := &ring{c: c, strip: strip{m: 2, a: make([]float64, 2*n), d: make([]float64, n), side: side}}
	for i := range c.p {
		_, _, rho := c.polar(i, c.mean.X, c.mean.Y)
		r.reach = math.Max(r.reach, rho)
	}
	r.view = math.Max(outlook*r.reach, fromCentre*math.Hypot(s.x-c.mean.X, s.y-c.mean.Y))
	return r, centre{s.x, s.y}, nil
}

func (r *ring) finish(fit *CircleFit, sol *solution) {
	sol.weights(&fit.Deviation)
	fit.Deviation.UTotal = r.c.zoneSpread(&r.strip, sol)
	fit.Cov = r.c.zoneCovariance(&r.strip, sol, middle, false, []float64{r.c.scale, r.c.scale, r.c.scale})
}

func (r *ring) load(at centre) {
	for i := range r.strip.d {
		r.strip.a[2*i], r.strip.a[2*i+1], r.strip.d[i] = r.c.polar(i, at.x, at.y)
	}
}

func (r *ring) inside(at centre) bool {
	return math.Hypot(at.x-r.c.mean.X, at.y-r.c.mean.Y) <= r.view
}

func (r *ring) descend(at centre) (centre, solution, bool) {
	if !r.inside(at) {
		return at, solution{}, false
	}
	z := zone[centre]{&r.strip, r.load, func(c centre, x []float64) centre { return centre{c.x + x[0], c.y + x[1]} }, r.inside}
	at, sol, ok := z.descend(at, r.reach/8)
	r.effort += 10 * effortOf(len(r.c.p))
	return at, sol, ok
}

// anywhere descends from a grid of centres and keeps the best result.
func (r *ring) anywhere() (best centre, sol solution, ok bool) {
	const steps = 4
	for i := -steps; i <= steps; i++ {
		for j := -steps; j <= steps; j++ {
			from := centre{r.c.mean.X + r.reach*float64(i)/2, r.c.mean.Y + r.reach*float64(j)/2}
			at, s, found := r.descend(from)
			if found && (!ok || s.value < sol.value) {
				best, sol, ok = at, s, true
			}
		}
	}
	return best, sol, ok
}

// nearest is the least distance of the low contacts from the centre that the strip is loaded at.
func (r *ring) nearest(sol *solution) float64 {
	least := math.Inf(1)
	for _, c := range sol.basis[:sol.size] {
		if c.kind == low {
			least = math.Min(least, r.strip.d[c.row])
		}
	}
	return least
}

// prove searches all centres for a narrower zone, and moves to it when there is one.
//
// The outer radius is convex in the centre; the inner one exceeds its tangent by no more than |δ|²/2ρ. So W(δ) ≥ w + g|δ| - |δ|²/2ρ about a centre with growth g, which nothing undercuts within 2gρ; over a square a tangent or a strip program serves alike.
func (r *ring) prove(at centre, sol solution) (float64, centre, solution) {
	const restarts = 50
	bound := sol.value
	for range restarts {
		r.load(at)
		var better centre
		var found bool
		bound, better, found = r.search(at, &sol)
		if !found {
			break
		}
		next, s, ok := r.descend(better)
		if !ok || !(s.value < sol.value) {
			break
		}
		at, sol = next, s
	}
	r.load(at)
	r.strip.box = r.reach / 8
	if final, ok := r.strip.solve(); ok {
		sol = final
	}
	return math.Max(0, math.Min(bound, sol.value)), at, sol
}

// search stops at a centre from where a narrower zone than that of sol is reached.
func (r *ring) search(at centre, sol *solution) (bound float64, better centre, found bool) {
	w, inner := sol.value, r.nearest(sol)
	sure := 2 * r.strip.growth(sol) * inner
	all := 2 * r.view
	narrower := func(c centre) bool {
		next, s, ok := r.descend(c)
		if !ok {
			r.open = true
			return false
		}
		better = next
		return s.value < w-slack
	}
	bound, found = search([]square{{s: all}}, w, r.spent, func(p *square) bool {
		far := p.far()
		p.bound = math.Max(p.bound, w-far*far/(2*inner))
		mid := centre{at.x + p.u, at.y + p.v}
		off := math.Hypot(mid.x-r.c.mean.X, mid.y-r.c.mean.Y)
		if far <= sure || off-math.Sqrt2*p.s > r.view {
			p.bound = w
		}
		if p.bound >= w-slack {
			return false
		}
		width, flat := r.width(mid, p.s)
		if r.inside(mid) && width < w-slack && narrower(mid) {
			return true
		}
		if p.bound = math.Max(p.bound, flat); p.bound >= w-slack {
			return false
		}
		r.load(mid)
		r.strip.box = p.s
		s, ok := r.strip.solve()
		r.effort += effortOf(len(r.c.p))
		if !ok {
			return false
		}
		p.bound = math.Max(p.bound, s.value-p.s*p.s/r.nearest(&s))
		tip := centre{mid.x + s.x[0], mid.y + s.x[1]}
		width, _ = r.width(tip, 0)
		if r.inside(tip) && width < w-slack && narrower(tip) {
			return true
		}
		if r.open && p.s < r.reach/8 {
			p.bound = w // a straight zone undercuts every round one hereabouts
		}
		return false
	})
	return bound, better, found
}

func (r *ring) spent() bool { return r.effort > maxEffort }

// width is the zone's about a centre, and a lower bound of it over a square about the centre.
func (r *ring) width(at centre, s float64) (width, bound float64) {
	r.effort += len(r.c.p)
	hi, lo, top, bottom := math.Inf(-1), math.Inf(1), 0, 0
	for i, p := range r.c.p {
		dx, dy := p.X-at.x, p.Y-at.y
		v := dx*dx + dy*dy
		if v > hi {
			hi, top = v, i
		}
		if v < lo {
			lo, bottom = v, i
		}
	}
	tx, ty, outer := r.c.polar(top, at.x, at.y)
	bx, by, inner := r.c.polar(bottom, at.x, at.y)
	width = outer - inner
	bound = width - 2*math.Sqrt2*s
	if inner > 0 {
		bound = math.Max(bound, width-s*(math.Abs(tx-bx)+math.Abs(ty-by))-s*s/inner)
	}
	return width, bound
}
