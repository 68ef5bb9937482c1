package rare

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"example.com/borestack/stackup/internal/num"
)

// climb steps from a start to the nearest point of the limit: sequential quadratic programming, whose first step, and every one while the limit looks flat, is that of Hasofer, Lind, Rackwitz and Fiessler. ok is false when there is none that way.
//
// Source: Rackwitz and Fiessler, Structural reliability under combined random load sequences, Comput. Struct. 9 (1978); Liu and Der Kiureghian, Optimization algorithms for structural reliability, Struct. Saf. 9 (1991), who find this way robust.
func (w *pathfinder) climb(side Side, start []float64) (p DesignPoint, ok bool, err error) {
	n := len(start)
	c := &climber{pathfinder: w, side: side, u: slices.Clone(start), step: make([]float64, n), trial: make([]float64, n), bend: newCurvature(n)}
	if c.slack, c.slope, err = w.slope(side, c.u); err != nil {
		return p, false, err
	}
	reach := math.Max(farthest, floats.Norm(c.u, 2)) // of many numbers a start is far, and its point may be near
	for range newtonSteps {
		steep := floats.Norm(c.slope, 2)
		if !(steep > 0) || steep-steep+c.slack-c.slack != 0 {
			return p, false, nil
		}
		force := c.bend.step(c.step, c.u, c.slope, c.slack)
		size, stride := floats.Norm(c.u, 2), floats.Norm(c.step, 2)
		switch {
		case size > reach || stride > 2*reach:
			return p, false, nil
		case stride < newtonStill && math.Abs(c.slack) < newtonEnd*steep:
			p = w.point(side, c.u, c.slope, c.slack)
			p.settled = true
			return w.reached(p, c.slope)
		}
		if moved, err := c.advance(force, size, 2*math.Abs(force)+(1+size)/steep); err != nil || !moved {
			return p, false, err
		}
	}
	// a limit with corners or steps: the last point serves when it is near the limit
	if steep := floats.Norm(c.slope, 2); steep > 0 && math.Abs(c.slack) < steep {
		return w.reached(w.point(side, c.u, c.slope, c.slack), c.slope)
	}
	return p, false, nil
}

// climber is where a climb has come to.
type climber struct {
	*pathfinder
	side        Side
	u, slope    []float64 // the place, and the slope of the slack there
	slack       float64
	step, trial []float64
	bend        *curvature
}

// advance takes as much of a step as lessens the merit, with a penalty on slack, and learns from it; false when nothing of
// it does.
func (c *climber) advance(force, size, penalty float64) (moved bool, err error) {
	off := penalty * math.Abs(c.slack)
	t, err := c.along(c.side, c.u, c.step, c.trial, penalty, size*size/2+off, floats.Dot(c.u, c.step)-off)
	if err != nil || t == 0 {
		return false, err
	}
	floats.ScaleTo(c.trial, t, c.step)
	floats.Add(c.u, c.trial)
	slack, next, err := c.pathfinder.slope(c.side, c.u)
	if err != nil {
		return false, err
	}
	for i := range c.slope { // the change of the slope of the Lagrangian
		c.slope[i] = c.trial[i] + force*(next[i]-c.slope[i])
	}
	c.bend.learn(c.trial, c.slope)
	c.slack, c.slope = slack, next
	return true, nil
}

// reached is a point, if it is near enough and the limit is broken just beyond it, down its slope. A limit that is touched
// and not crossed, as zero is by a size, is no way to fail.
func (w *pathfinder) reached(p DesignPoint, slope []float64) (_ DesignPoint, ok bool, err error) {
	if !(math.Abs(p.Beta) <= farthest) {
		return p, false, nil
	}
	size := math.Sqrt(floats.Dot(slope, slope))
	trial := make([]float64, len(p.z))
	for k := range beyondSteps {
		for c, v := range p.z {
			trial[c] = v - math.Ldexp(slope[c]/size, -k-1)
		}
		w.put(k, trial)
	}
	if err := w.evaluate(beyondSteps); err != nil {
		return p, false, err
	}
	for k := range beyondSteps {
		if within(w.q, p.Side, w.Y, k) < 0 {
			p.speck = k >= speckSteps
			return p, true, nil
		}
	}
	return p, false, nil
}

// along returns how much of a step to take: the first halving that lessens the merit, or that which lessens it most.
func (w *pathfinder) along(side Side, u, step, trial []float64, penalty, merit, fall float64) (t float64, err error) {
	for k := range lineSearches {
		for i := range trial {
			trial[i] = u[i] + math.Ldexp(step[i], -k)
		}
		w.put(k, trial)
	}
	if err := w.evaluate(lineSearches); err != nil {
		return 0, err
	}
	least := math.Inf(1)
	for k := range lineSearches {
		part := math.Ldexp(1, -k)
		var squares float64
		for i := range u {
			v := u[i] + part*step[i]
			squares += v * v
		}
		m := squares/2 + penalty*math.Abs(within(w.q, side, w.Y, k))
		if m <= merit+0.1*part*fall {
			return part, nil
		}
		if m < least {
			t, least = part, m
		}
	}
	return t, nil
}

// curvature is the inverse of the second derivatives of the Lagrangian ½|u|² + force·slack, learnt from steps.
type curvature struct {
	h      [][]float64
	hu, hs []float64
}

func newCurvature(n int) *curvature {
	c := &curvature{h: num.Columns(n, n), hu: make([]float64, n), hs: make([]float64, n)}
	for i := range n {
		c.h[i][i] = 1
	}
	return c
}

// step sets dst to the step to the nearest point of the limit as far as is known, and returns the force that holds it there.
func (c *curvature) step(dst, u, slope []float64, slack float64) (force float64) {
	for i, row := range c.h {
		c.hu[i], c.hs[i] = floats.Dot(row, u), floats.Dot(row, slope)
	}
	force = (slack - floats.Dot(slope, c.hu)) / floats.Dot(slope, c.hs)
	for i := range dst {
		dst[i] = -c.hu[i] - force*c.hs[i]
	}
	return force
}

// learn updates the inverse by a step and the change of the slope over it, unless that bends the wrong way.
//
// Source: Nocedal and Wright, Numerical Optimization, 2nd ed., Springer 2006, equation 6.17 (BFGS).
func (c *curvature) learn(step, change []float64) {
	const least = 0.01
	along, squares := floats.Dot(step, change), floats.Dot(step, step)
	if !(along > least*squares) || along-along != 0 {
		return
	}
	for i, row := range c.h {
		c.hs[i] = floats.Dot(row, change)
	}
	f := (1 + floats.Dot(change, c.hs)/along) / along
	for i := range c.h {
		for j := range c.h {
			c.h[i][j] += f*step[i]*step[j] - (c.hs[i]*step[j]+step[i]*c.hs[j])/along
		}
	}
}

// slope is the slack at u and its central differences.
func (w *pathfinder) slope(side Side, u []float64) (slack float64, out []float64, err error) {
	here, slopes, err := num.Slopes(w.Z, u, slices.Repeat([]float64{normalStep}, len(u)), 1, w.evaluate, func(_, i int) float64 { return within(w.q, side, w.Y, i) })
	if err != nil {
		return 0, nil, err
	}
	return here[0], slopes[0], nil
}

// point is the design point next to u, where the limit, flat there, is crossed along its slope.
func (w *pathfinder) point(side Side, u, slope []float64, slack float64) DesignPoint {
	p := DesignPoint{Side: side, z: make([]float64, len(u)), Shares: make([]float64, len(w.study.Inputs))}
	squares := floats.Dot(slope, slope)
	p.out, p.steep = make([]float64, len(u)), math.Sqrt(squares)
	for i, s := range slope {
		p.z[i] = u[i] - slack/squares*s
		p.out[i] = -s / p.steep
	}
	w.put(0, p.z)
	for i := range w.study.Inputs {
		from, to := w.Numbers(i)
		for c := from; c < to; c++ {
			p.Shares[i] += slope[c] * slope[c] / squares
		}
	}
	w.Fill(1)
	for c := range w.X {
		p.X = append(p.X, w.X[c][0])
	}
	p.Beta = math.Copysign(math.Sqrt(floats.Dot(p.z, p.z)), -floats.Dot(p.z, slope))
	p.Probability = math.Erfc(p.Beta/math.Sqrt2) / 2
	return p
}
