package form

import (
	"math"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// ring is the search for circles about one centre that hold the points of a flat cloud.
type ring struct {
	c     *cloud
	strip strip
	reach float64 // of the points from their mean
}

type centre struct{ x, y float64 }

// sideOf is the side of the strip that a rule makes least.
func sideOf(rule Rule) (sides, error) {
	switch rule {
	case MinimumZone:
		return both, nil
	case MinimumCircumscribed:
		return onlyHigh, nil
	case MaximumInscribed:
		return onlyLow, nil
	}
	return both, unknownRule(rule, "least squares, minimum zone, minimum circumscribed or maximum inscribed")
}

// zoneCircle descends from the circle of least squares to that of a rule.
func (c *cloud) zoneCircle(start round, rule Rule) (CircleFit, error) {
	side, err := sideOf(rule)
	if err != nil {
		return CircleFit{}, err
	}
	n := len(c.p)
	r := &ring{c: c, strip: strip{m: 2, a: make([]float64, 2*n), d: make([]float64, n), side: side}}
	for i := range c.p {
		_, _, rho := c.polar(i, c.mean.X, c.mean.Y)
		r.reach = math.Max(r.reach, rho)
	}
	at, sol, ok := r.descend(centre{start.x, start.y})
	if !ok {
		return CircleFit{}, atFault(whole, "no circle is better than all others near it", "points all round the circle", fault.ErrUndefined)
	}
	fit, _ := c.circle(round{at.x, at.y, r.strip.radius()}, rule)
	sol.weights(&fit.Deviation)
	fit.Proof = &Proof{Unbalance: r.strip.unbalance(&sol), Within: r.within(&sol)}
	return fit, nil
}

// radius is that of the feature that the strip is loaded at: midway, or through the contacts.
func (s *strip) radius() float64 {
	hi, lo := slices.Max(s.d), slices.Min(s.d)
	switch s.side {
	case onlyHigh:
		return hi
	case onlyLow:
		return lo
	}
	return (hi + lo) / 2
}

// within is how far the centre may move without a gain. The outer radius is convex in the centre; the
// inner one exceeds its tangent by no more than |δ|²/2ρ. So W(δ) ≥ w + g|δ| - |δ|²/2ρ about a centre
// with growth g, which nothing undercuts within 2gρ.
func (r *ring) within(sol *solution) tolerance.Length {
	if r.strip.side == onlyHigh {
		return tolerance.Length(math.Inf(1))
	}
	return r.c.length(2 * r.strip.growth(sol) * slices.Min(r.strip.d))
}

func (r *ring) load(at centre) {
	for i := range r.strip.d {
		r.strip.a[2*i], r.strip.a[2*i+1], r.strip.d[i] = r.c.polar(i, at.x, at.y)
	}
}

func (r *ring) descend(at centre) (centre, solution, bool) {
	afar := math.Max(outlook*r.reach, fromStart*math.Hypot(at.x-r.c.mean.X, at.y-r.c.mean.Y))
	z := zone[centre]{
		strip:  &r.strip,
		load:   r.load,
		move:   func(c centre, x []float64) centre { return centre{c.x + x[0], c.y + x[1]} },
		inside: func(c centre) bool { return math.Hypot(c.x-r.c.mean.X, c.y-r.c.mean.Y) <= afar },
	}
	return z.descend(at, r.reach/8)
}

// A centre or an axis may come to lie as far from the points' mean as outlook times their reach, or
// fromStart times as far as the feature of least squares; beyond, the feature runs off to infinity.
const (
	outlook   = 10
	fromStart = 2
)
