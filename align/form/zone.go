package form

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
)

// sleeve is the search for coaxial cylinders around the points, or concentric circles.
type sleeve struct {
	c            *cloud
	strip        strip
	inscribed    bool    // the strip is loaded with the distances from the axis negated
	inner, outer float64 // least and greatest distance from the axis
	afar         float64 // how far from the points' mean an axis may come to lie
}

// An axis may come to lie as far from the points' mean as outlook times their reach, or, of a
// circle, fromStart times as far as that of least squares; beyond, the feature runs off to infinity.
const (
	outlook   = 10
	fromStart = 2
)

// A cylinder rougher than this share of its radius may have several axes that are better than all near
// them; with a smaller form error distances are so nearly linear in the axis that there is one. From
// manyPoints on further starts cost too much.
const (
	rough      = 1e-3
	manyPoints = 3000
)

// zoneRound descends from the circle or cylinder of least squares to that of a rule.
func (c *cloud) zoneRound(start tube, rule Rule) (CylinderFit, error) {
	if rule != MinimumZone && rule != MinimumCircumscribed && rule != MaximumInscribed {
		return CylinderFit{}, unknownRule(rule, "least squares, minimum zone, minimum circumscribed or maximum inscribed")
	}
	n, m := len(c.p), start.unknowns()
	s := sleeve{c: c, strip: strip{m: m, a: make([]float64, m*n), d: make([]float64, n), one: rule != MinimumZone}, inscribed: rule == MaximumInscribed, afar: outlook}
	box := 0.1
	if start.flat {
		s.load(tube{at: c.mean, dir: start.dir, flat: true})
		box, s.afar = s.outer/8, math.Max(outlook*s.outer, fromStart*r3.Norm(r3.Sub(start.at, c.mean)))
	}
	s.load(start)
	t, ok := s.descend(start, box)
	switch {
	case !ok && start.flat:
		return CylinderFit{}, atFault(whole, "no circle is better than all others near it", "points all round the circle", fault.ErrUndefined)
	case !ok && s.inscribed:
		return CylinderFit{}, atFault(whole, "the cylinder slips out between them", "points all round the cylinder", fault.ErrUndefined)
	case !ok:
		return CylinderFit{}, unending()
	}
	if !start.flat && n <= manyPoints && s.outer-s.inner > rough*s.outer {
		t = s.startAround(t, box)
	}
	switch rule {
	case MinimumCircumscribed:
		t.r = s.outer
	case MaximumInscribed:
		t.r = s.inner
	default:
		t.r = (s.outer + s.inner) / 2
	}
	return c.round(t, rule), nil
}

// load linearises the points' distances from an axis.
func (s *sleeve) load(t tube) {
	f, m := t.frame(), s.strip.m
	s.inner, s.outer = math.Inf(1), math.Inf(-1)
	for i, p := range s.c.p {
		a := s.strip.a[m*i : m*i+m]
		rho := f.outward(p, a)
		s.inner, s.outer = math.Min(s.inner, rho), math.Max(s.outer, rho)
		s.strip.d[i] = rho
		if s.inscribed {
			s.strip.d[i] = -rho
			for k := range a {
				a[k] = -a[k]
			}
		}
	}
}

// settled is the gain, in a cloud of size 1, below which comparing two places says nothing:
// rounding of their deviations.
const settled = 1e-13

// descend solves strip after strip, each about the last one's result and within a box that shrinks
// where the deviations bend, until the contacts hold the feature. The point of an axis stays at the
// foot of the mean, and the direction upright, so that the strip left loaded is that of the result.
// It fails when the feature runs off, or does not settle.
//
// At as many contacts as unknowns a step is Newton's on their equations, so that the last steps
// double the digits.
func (s *sleeve) descend(at tube, box float64) (tube, bool) {
	const (
		rounds   = 300
		polish   = 4     // steps taken once comparing says nothing
		smallest = 1e-15 // step, in a cloud of size 1: rounding
	)
	at = at.settled(s.c.mean)
	s.load(at)
	f := s.strip.measure()
	last := 0
	for range rounds {
		s.strip.box = box
		sol, ok := s.strip.solve()
		if !ok {
			return at, false
		}
		x := sol.x[:s.strip.m]
		size := 0.0
		for _, v := range x {
			size = math.Max(size, math.Abs(v))
		}
		if size <= smallest || last >= polish {
			return at, true
		}
		gain := f - sol.value
		trial := at.move(x).settled(s.c.mean)
		if !(r3.Norm(r3.Sub(trial.at, s.c.mean)) <= s.afar) {
			return at, false
		}
		s.load(trial)
		ft := s.strip.measure()
		switch {
		case gain < settled && ft <= f+settled/100:
			at, f = trial, ft
			last++
			continue
		case ft < f:
			switch kept := (f - ft) / gain; {
			case kept > 0.75:
				box = math.Min(2*box, 1)
			case kept < 0.25:
				box = size / 2
			}
			at, f = trial, ft
			continue
		}
		s.load(at)
		if box = size / 4; gain < settled || box < smallest { // the step is within rounding and no better
			return at, true
		}
	}
	return at, false
}

// startAround descends from axes shifted and tilted by the form error as well and keeps the best; the
// strip is left loaded there.
func (s *sleeve) startAround(t tube, box float64) tube {
	best, least, spread, length := t, s.strip.measure(), s.outer-s.inner, 0.0
	for _, p := range s.c.p {
		length = math.Max(length, math.Abs(r3.Dot(r3.Sub(p, s.c.mean), t.dir)))
	}
	for k := range 4 {
		for _, by := range [2]float64{-spread, spread} {
			step := make([]float64, 4)
			if step[k] = by; k >= 2 {
				step[k] /= math.Max(length, 0.1)
			}
			if next, ok := s.descend(t.move(step), box); ok && s.strip.measure() < least-settled {
				best, least = next, s.strip.measure()
			}
		}
	}
	s.load(best)
	return best
}

// measure is what is made least, of the deviations loaded.
func (s *strip) measure() float64 {
	if s.one {
		return slices.Max(s.d)
	}
	return slices.Max(s.d) - slices.Min(s.d)
}
