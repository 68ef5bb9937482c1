package form

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
)

// sleeve is the search for coaxial cylinders around the points.
type sleeve struct {
	c      *cloud
	strip  strip
	length float64 // half the length covered, about the foot of the mean
}

// zoneCylinder descends from the cylinder of least squares to that of a rule.
func (c *cloud) zoneCylinder(start tube, rule Rule) (CylinderFit, error) {
	side, err := sideOf(rule)
	if err != nil {
		return CylinderFit{}, err
	}
	n := len(c.p)
	s := sleeve{c: c, strip: strip{m: 4, a: make([]float64, 4*n), d: make([]float64, n), side: side}}
	s.load(start)
	spread := slices.Max(s.strip.d) - slices.Min(s.strip.d)
	t, sol, ok := s.descend(start)
	switch {
	case !ok && side == onlyLow:
		return CylinderFit{}, atFault(whole, "the cylinder slips out between them", "points all round the cylinder", fault.ErrUndefined)
	case !ok:
		return CylinderFit{}, unending()
	}
	within := s.within(&sol)
	if within < spread && n <= manyPoints {
		t, sol = s.startAround(t, sol, spread)
		within = s.within(&sol)
	}
	t.r = s.strip.radius()
	fit, _ := c.cylinder(t, rule)
	sol.weights(&fit.Deviation)
	fit.Proof = &Proof{Unbalance: s.strip.unbalance(&sol), Within: c.length(within)}
	return fit, nil
}

// manyPoints is the number of points from which further starts cost too much.
const manyPoints = 3000

func (s *sleeve) load(t tube) {
	f := t.frame()
	s.length = 0
	for i, p := range s.c.p {
		u1, u2, rho, z := f.see(p)
		a := s.strip.a[4*i : 4*i+4 : 4*i+4]
		a[0], a[1], a[2], a[3] = u1, u2, z*u1, z*u2
		s.strip.d[i] = rho
		s.length = math.Max(s.length, math.Abs(z))
	}
}

func (s *sleeve) descend(t tube) (tube, solution, bool) {
	z := zone[tube]{
		strip: &s.strip,
		load:  s.load,
		// The point stays at the foot of the mean, and the direction upright, so that the strip left
		// loaded is that of the result.
		move:   func(t tube, x []float64) tube { return t.move(x).settled(s.c.mean) },
		inside: func(t tube) bool { return r3.Norm(r3.Sub(t.at, s.c.mean)) <= outlook },
	}
	return z.descend(t.settled(s.c.mean), 0.1)
}

// startAround descends from axes shifted and tilted by the form error and keeps the best; the strip is
// left loaded there.
func (s *sleeve) startAround(t tube, sol solution, spread float64) (tube, solution) {
	best := t
	for k := range 4 {
		for _, by := range [2]float64{-spread, spread} {
			step := make([]float64, 4)
			step[k] = by
			if k >= 2 {
				step[k] /= math.Max(s.length, 0.1)
			}
			if next, found, ok := s.descend(t.move(step)); ok && found.value < sol.value-settled {
				best, sol = next, found
			}
		}
	}
	if next, found, ok := s.descend(best); ok {
		return next, found
	}
	s.load(best)
	return best, sol
}

// within is how far the axis may move, at either end of the length covered, without a gain; the strip
// is loaded at the optimum. Against its linear form the zone gains no more than q|x|² in shifts and
// slopes x (remainder), and it grows by g|x| from the contacts: nothing is gained within g/q.
func (s *sleeve) within(sol *solution) float64 {
	inward, outward := s.remainder()
	var q float64
	if s.strip.side != onlyHigh {
		q += inward
	}
	if s.strip.side != onlyLow {
		q += outward
	}
	return math.Min(1, s.strip.growth(sol)/q) / math.Sqrt(1+1/(s.length*s.length))
}

// remainder bounds how far a distance exceeds its linear part ρ - u·s (inward) and falls short of
// it (outward) when the axis moves by shifts and slopes x, |x| ≤ 1: multiples of |x|². With w the
// slope, s the shift at a point's height and Z half the length,
//
//	|ρu - s|/√(1 + w²) ≤ dist ≤ |ρu - s| ≤ ρ - u·s + |s|²/2ρ,  |s|² ≤ (1 + Z²)|x|².
func (s *sleeve) remainder() (inward, outward float64) {
	inner, outer := slices.Min(s.strip.d), slices.Max(s.strip.d)
	most := 1 + s.length*s.length
	return most / (2 * inner), (outer + math.Sqrt(most)) / 2
}
