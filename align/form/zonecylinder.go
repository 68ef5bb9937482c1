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

// MinimumZoneCylinder finds the two coaxial cylinders nearest to each other that hold all of five or more points between them (cylindricity, ISO 1101); the cylinder returned lies midway. It starts from least squares, exchanges contacts until they hold the axis, and proves that no axis within Proof.Within is better; when that is less than the form error it also starts from axes around the first.
//
// It is a local optimum, and says so. It returns the errors of [LeastSquaresCylinder], and [fault.ErrNotConverging].
//
// Source: ISO 1101 (cylindricity), ISO 12180-1 (minimum zone reference cylinders, CYLt); method: sequential linear programming.
func MinimumZoneCylinder(points []r3.Vec, u Uncertainty) (CylinderFit, error) {
	return fitSleeve(points, u, both, MinimumZone)
}

// MinimumCircumscribedCylinder finds the smallest cylinder that holds all of five or more points: the datum cylinder of a shaft (ISO 5459). A local optimum, from least squares; errors as for [MinimumZoneCylinder].
//
// Source: ISO 12180-1 (minimum circumscribed reference cylinder).
func MinimumCircumscribedCylinder(points []r3.Vec, u Uncertainty) (CylinderFit, error) {
	return fitSleeve(points, u, onlyHigh, MinimumCircumscribed)
}

// MaximumInscribedCylinder finds the largest cylinder with none of five or more points inside: the datum cylinder of a bore (ISO 5459). A local optimum, from least squares, which is the rule that makes it unique; errors as for [MinimumZoneCylinder], and [fault.ErrUndefined] when the points do not surround the cylinder.
//
// Source: ISO 12180-1 (maximum inscribed reference cylinder).
func MaximumInscribedCylinder(points []r3.Vec, u Uncertainty) (CylinderFit, error) {
	return fitSleeve(points, u, onlyLow, MaximumInscribed)
}

func fitSleeve(points []r3.Vec, u Uncertainty, side sides, rule Rule) (CylinderFit, error) {
	c, err := newZoneCloud(points, u, 5)
	if err != nil {
		return CylinderFit{}, err
	}
	start, err := c.leastSquaresCylinder()
	if err != nil {
		return CylinderFit{}, err
	}
	n := len(c.p)
	s := sleeve{c: c, strip: strip{m: 4, a: make([]float64, 4*n), d: make([]float64, n), side: side}}
	s.load(start)
	spread := s.strip.spread()
	t, sol, ok := s.descend(start)
	if !ok {
		if side == onlyLow {
			return CylinderFit{}, atFault(whole, "the cylinder slips out between them", "points all round the cylinder", fault.ErrUndefined)
		}
		return CylinderFit{}, atFault(whole, "the axis does not settle", "points all round the cylinder", fault.ErrNotConverging)
	}
	within, loss := s.proveNear(&sol)
	if within < spread && n <= manyPoints {
		t, sol = s.startAround(t, sol, spread)
		within, loss = s.proveNear(&sol)
	}
	hi, lo := slices.Max(s.strip.d), slices.Min(s.strip.d)
	switch side {
	case both:
		t.r = (hi + lo) / 2
	case onlyHigh:
		t.r = hi
	case onlyLow:
		t.r = lo
	}
	fit, _ := c.cylinder(t, rule)
	sol.weights(&fit.Deviation)
	fit.Deviation.UTotal = c.zoneSpread(&s.strip, &sol)
	fit.Cov = c.zoneCovariance(&s.strip, &sol, middle, false, []float64{c.scale, c.scale, 1, 1, c.scale})
	fit.Proof = s.certificate(&fit, &sol, loss)
	fit.Proof.Within = c.length(within)
	return fit, nil
}

// manyPoints is the number of points from which further starts cost too much.
const manyPoints = 3000

func (s *sleeve) certificate(fit *CylinderFit, sol *solution, loss float64) *Proof {
	switch s.strip.side {
	case onlyHigh:
		return s.c.proof(&s.strip, sol, fit.Outer, sol.value-loss, Nearby)
	case onlyLow:
		p := &Proof{Unbalance: s.strip.unbalance(sol), Bound: max(s.c.length(sol.lo+loss), fit.Inner)}
		p.Gap = p.Bound - fit.Inner
		return p
	}
	return s.c.proof(&s.strip, sol, fit.Deviation.Total, sol.value-loss, Nearby)
}

func (s *strip) spread() float64 {
	t := *s
	t.side = both
	return t.measure()
}

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
		// The point stays at the foot of the mean, and the direction upright, so that the strip left loaded is that of the result.
		move:   func(t tube, x []float64) tube { return t.move(x).settled(s.c.mean) },
		inside: func(t tube) bool { return r3.Norm(r3.Sub(t.at, s.c.mean)) <= outlook },
	}
	t, sol, ok := z.descend(t.settled(s.c.mean), 0.1)
	return t, sol, ok
}

// startAround descends from axes shifted and tilted by the form error and keeps the best; the strip is left loaded there.
func (s *sleeve) startAround(t tube, sol solution, spread float64) (tube, solution) {
	best := t
	for k := range 4 {
		for _, by := range [2]float64{-spread, spread} {
			step := make([]float64, 4)
			step[k] = by
			if k >= 2 {
				step[k] /= math.Max(s.length, 0.1)
			}
			if next, found, ok := s.descend(t.move(step)); ok && found.value < sol.value-slack {
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
