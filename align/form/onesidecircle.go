package form

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"

	"example.com/borestack/fault"
)

// MinimumCircumscribedCircle finds the smallest circle that holds all of two or more points of the plane: the datum circle of a shaft. It is unique, and the global optimum.
//
// Contacts are two ends of a diameter, or three around the centre. It returns [fault.ErrTooFew], [fault.ErrNotFinite], [fault.ErrOutOfRange] and [ErrCoincident].
//
// Source: ISO 12181-1 (minimum circumscribed reference circle); E. Welzl, Smallest enclosing disks, 1991 (the circle is that of at most three points, found by exchange).
func MinimumCircumscribedCircle(points []r2.Vec, u Uncertainty) (CircleFit, error) {
	c, err := newFlat(points, u, 2)
	if err != nil {
		return CircleFit{}, err
	}
	if c.own {
		return CircleFit{}, errOwn()
	}
	hold := c.enclose()
	n := len(c.p)
	r := ring{c: c, strip: strip{m: 2, a: make([]float64, 2*n), d: make([]float64, n), side: onlyHigh, box: 1}}
	r.load(centre{hold.x, hold.y})
	sol, ok := r.strip.solve()
	if !ok {
		return CircleFit{}, atFault(whole, "the exchange of contacts does not end", "points of moderate size", fault.ErrNotConverging)
	}
	fit, _ := c.circle(hold.x, hold.y, r.strip.measure(), MinimumCircumscribed)
	fit.Deviation.High = nil
	touch := c.touch()
	for i, d := range r.strip.d {
		if d >= hold.r-touch {
			fit.Deviation.High = append(fit.Deviation.High, Contact{Row: i})
		}
	}
	sol.weights(&fit.Deviation)
	if c.u != nil {
		if len(hold.by) == 2 {
			fit.Cov = c.diameterCovariance(hold)
		} else {
			fit.Deviation.UTotal = c.zoneSpread(&r.strip, &sol)
			fit.Cov = c.zoneCovariance(&r.strip, &sol, middle, false, []float64{c.scale, c.scale, c.scale})
		}
	}
	fit.Proof = c.proof(&r.strip, &sol, fit.Radius, sol.value, Everyone)
	return fit, nil
}

// held is an enclosing circle and the points that it is drawn through.
type held struct {
	round
	by []int
}

// enclose exchanges contacts: the point farthest out joins the two or three that hold the circle, and the smallest circle around those takes its place. The radius grows with every exchange, so that it ends.
func (c *cloud) enclose() held {
	first := c.farthest(c.mean.X, c.mean.Y)
	h := held{round{c.p[first].X, c.p[first].Y, 0}, []int{first}}
	const rounds = 1000
	for range rounds {
		q := c.farthest(h.x, h.y)
		_, _, rho := c.polar(q, h.x, h.y)
		if rho <= h.r+4e-16 {
			break
		}
		next := c.smallest(append(h.by[:len(h.by):len(h.by)], q))
		if next.r <= h.r {
			break
		}
		h = next
	}
	return h
}

func (c *cloud) farthest(x, y float64) int {
	far, row := -1.0, 0
	for i, p := range c.p {
		dx, dy := p.X-x, p.Y-y
		if v := dx*dx + dy*dy; v > far {
			far, row = v, i
		}
	}
	return row
}

// smallest is the smallest circle around two to four points, by trial of all pairs and triples.
func (c *cloud) smallest(rows []int) held {
	const rounding = 4e-15
	best := held{round: round{r: math.Inf(1)}}
	try := func(r round, by ...int) {
		if !(r.r < best.r) {
			return
		}
		for _, i := range rows {
			if _, _, rho := c.polar(i, r.x, r.y); rho > r.r+rounding {
				return
			}
		}
		best = held{r, by}
	}
	for a, i := range rows {
		for _, j := range rows[:a] {
			p, q := c.p[i], c.p[j]
			try(round{(p.X + q.X) / 2, (p.Y + q.Y) / 2, math.Hypot(p.X-q.X, p.Y-q.Y) / 2}, j, i)
		}
	}
	for a, i := range rows {
		for b, j := range rows[:a] {
			for _, k := range rows[:b] {
				try(c.through(i, j, k), k, j, i)
			}
		}
	}
	return best
}

// through is the circle through three points; its radius is infinite when they lie on a line.
func (c *cloud) through(i, j, k int) round {
	o := c.p[i]
	ax, ay := c.p[j].X-o.X, c.p[j].Y-o.Y
	bx, by := c.p[k].X-o.X, c.p[k].Y-o.Y
	det := 2 * (ax*by - ay*bx)
	if det == 0 {
		return round{r: math.Inf(1)}
	}
	a2, b2 := ax*ax+ay*ay, bx*bx+by*by
	x, y := (by*a2-ay*b2)/det, (ax*b2-bx*a2)/det
	return round{o.X + x, o.Y + y, math.Hypot(x, y)}
}

// diameterCovariance is that of a circle on a diameter: its centre is the ends' middle, its radius half their distance.
func (c *cloud) diameterCovariance(h held) *mat.SymDense {
	i, j := h.by[0], h.by[1]
	ux, uy, _ := c.polar(j, h.x, h.y)
	a, b := c.u[i]*c.u[i]/4, c.u[j]*c.u[j]/4
	s := c.scale * c.scale
	return mat.NewSymDense(3, []float64{
		s * (a + b), 0, s * ux * (b - a),
		0, s * (a + b), s * uy * (b - a),
		s * ux * (b - a), s * uy * (b - a), s * (a + b),
	})
}

// MaximumInscribedCircle finds the largest circle with none of three or more points of the plane inside: the datum circle of a bore. Larger circles lie outside the points, so a rule makes it unique: from the least-squares centre it climbs to the nearest maximum, and on to any larger circle centred within half its radius, until there is none. Its three contacts surround the centre. The proof speaks of the centres within half the radius.
//
// It returns [fault.ErrTooFew], [fault.ErrNotFinite], [fault.ErrOutOfRange], [ErrCoincident], [ErrCollinear], and [fault.ErrUndefined] when the points do not surround the circle.
//
// Source: ISO 12181-1 (maximum inscribed reference circle).
func MaximumInscribedCircle(points []r2.Vec, u Uncertainty) (CircleFit, error) {
	r, start, err := newRing(points, u, onlyLow)
	if err != nil {
		return CircleFit{}, err
	}
	at, sol, ok := r.descend(start)
	if !ok {
		return CircleFit{}, atFault(whole, "the circle slips out between them", "points all round the circle", fault.ErrUndefined)
	}
	bound, at, sol := r.proveInscribed(at, sol)
	fit, _ := r.c.circle(at.x, at.y, -r.strip.measure(), MaximumInscribed)
	r.finish(&fit, &sol)
	fit.Proof = &Proof{Unbalance: r.strip.unbalance(&sol), Bound: max(r.c.length(-bound), fit.Inner), Reach: Everyone}
	fit.Proof.Gap = fit.Proof.Bound - fit.Inner
	if r.open {
		fit.Proof.Reach = Nearby
	}
	return fit, nil
}

// proveInscribed looks for a larger circle centred within half the radius. Radii are negated: the least is sought.
//
// The inner radius exceeds its tangent by no more than |δ|²/2ρ, so that nothing within 2gρ of a centre with growth g is larger.
func (r *ring) proveInscribed(at centre, sol solution) (float64, centre, solution) {
	const restarts = 50
	bound := sol.value
	for range restarts {
		r.load(at)
		inner := r.nearest(&sol)
		sure := 2 * r.strip.growth(&sol) * inner
		w := sol.value
		var better centre
		var bestSol solution
		larger := func(c centre) bool {
			next, s, ok := r.descend(c)
			if !ok {
				r.open = true
				return false
			}
			better, bestSol = next, s
			return s.value < w-slack
		}
		var found bool
		bound, found = search([]square{{s: inner / 2, bound: math.Inf(-1)}}, w, r.spent, func(p *square) bool {
			if p.far() <= sure {
				p.bound = w
				return false
			}
			mid := centre{at.x + p.u, at.y + p.v}
			r.load(mid)
			r.effort += len(r.c.p)
			here := r.strip.measure()
			if here < w-slack && larger(mid) {
				return true
			}
			if p.bound = math.Max(p.bound, here-math.Sqrt2*p.s); p.bound >= w-slack {
				return false
			}
			r.load(mid)
			r.strip.box = p.s
			s, ok := r.strip.solve()
			r.effort += effortOf(len(r.c.p))
			if ok {
				p.bound = math.Max(p.bound, s.value-p.s*p.s/r.nearest(&s))
			}
			if r.open && p.s < inner/16 {
				p.bound = w
			}
			return false
		})
		if !found {
			break
		}
		at, sol = better, bestSol
	}
	r.load(at)
	r.strip.box = r.reach / 8
	if final, ok := r.strip.solve(); ok {
		sol = final
	}
	return math.Min(bound, sol.value), at, sol
}
