package study

import (
	"context"
	"math"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

// Cutting planes stop when the best value found and the bound that the planes leave agree to this
// share of the output's spread, or after so many.
const (
	cutGoal  = 1e-10
	cutMost  = 60
	cutShare = 1e-3 // of a spread: the step of the slopes
)

// nearest finds the greatest (sign 1) or least (sign −1) of response n, which is concave
// (convex) in the deviations within their limits: every slope bounds it from outside, and the
// planes of all slopes so far are closed in on.
//
// Source: Kelley, The cutting-plane method for solving convex programs, SIAM J. 8 (1960).
func nearest(ctx context.Context, st *stackup.Study, n int, sign float64) (float64, error) {
	c := &cutter{study: st, of: st.Responses[n].Output, sign: sign, sampler: stackup.NewSampler(ctx, st)}
	c.layOut()
	at := make([]float64, c.width)
	for k := range at {
		at[k] = c.centre[k]
	}
	best := math.Inf(-1)
	for range cutMost {
		value, slope, err := c.slope(at)
		if err != nil {
			return 0, err
		}
		if !ieee.Finite(value) {
			return sign * best, nil
		}
		best = math.Max(best, value)
		c.planes = append(c.planes, plane{append([]float64(nil), at...), value, slope})
		bound, next, err := c.highest()
		if err != nil { // the planes close in no further
			return sign * best, nil
		}
		if bound-best <= cutGoal*c.spread() {
			break
		}
		at = next
	}
	return sign * best, nil
}

type plane struct {
	at    []float64
	value float64
	slope []float64
}

// cutter is one search by cutting planes.
type cutter struct {
	study   *stackup.Study
	of      int
	sign    float64
	sampler *stackup.Sampler
	width   int
	centre  []float64
	half    []float64 // of the intervals, or of the disc that the column belongs to
	disc    []bool    // the column and the next are a disc
	planes  []plane
	solver  conic.Solver
	problem conic.Problem
}

// layOut lists the columns' limits.
func (c *cutter) layOut() {
	for i := range c.study.Inputs {
		in := &c.study.Inputs[i]
		interval := func(l law.Law) {
			lo, hi := l.Support()
			c.centre, c.half, c.disc = append(c.centre, (lo+hi)/2), append(c.half, (hi-lo)/2), append(c.disc, false)
		}
		if in.Law != nil {
			interval(in.Law)
		} else if p, independent := in.Joint.(law.Independent); independent {
			for _, l := range p {
				interval(l)
			}
		} else {
			r, _ := in.Joint.Reach()
			radius := math.Hypot(r[0].A[0], r[0].A[1])
			c.centre = append(c.centre, r[0].Centre...)
			c.half = append(c.half, radius, radius)
			c.disc = append(c.disc, true, false)
		}
	}
	c.width = len(c.centre)
}

// slope is the value and its slopes by the columns in units of their halves, sign times.
func (c *cutter) slope(at []float64) (float64, []float64, error) {
	rows := 2*c.width + 1
	v := make([]float64, 0, rows)
	for len(v) < rows {
		n := min(rows-len(v), stackup.BatchSize)
		for r := range n {
			for k, x := range c.sampler.X {
				x[r] = at[k]
			}
			if row := len(v) + r; row > 0 { // column by column, up and then down
				k := (row - 1) / 2
				c.sampler.X[k][r] += float64(1-2*((row-1)%2)) * cutShare * c.half[k]
			}
		}
		if err := c.sampler.Rows("worst case", n); err != nil {
			return 0, nil, err
		}
		v = append(v, c.sampler.Y[c.of][:n]...)
	}
	out := make([]float64, c.width)
	for k := range out {
		if d := v[2*k+1] - v[2*k+2]; c.half[k] > 0 && ieee.Finite(d) {
			out[k] = c.sign * d / (2 * cutShare)
		}
	}
	return c.sign * v[0], out, nil
}

// spread is how much the planes differ.
func (c *cutter) spread() float64 {
	s := math.SmallestNonzeroFloat64
	for _, v := range c.planes[0].slope {
		s += math.Abs(v)
	}
	return math.Max(s, noEffect)
}

// highest is the highest point under all planes within the limits.
func (c *cutter) highest() (bound float64, at []float64, err error) {
	p := &c.problem
	n := c.width + 1
	p.Reset(n)
	p.Cost()[c.width] = -1
	unit := c.spread()
	for _, q := range c.planes {
		row := p.Cone(1).Row(0) // value + slope·(x − at) − t ≥ 0, in units
		row[n] = (q.value - c.planes[0].value) / unit
		for k, s := range q.slope {
			row[k] = s / unit
			if c.half[k] > 0 {
				row[n] -= s / unit * (q.at[k] - c.centre[k]) / c.half[k]
			}
		}
		row[c.width] = -1
	}
	for k := 0; k < c.width; k++ {
		if c.disc[k] {
			cone := p.Cone(2)
			cone.Row(0)[n], cone.Row(1)[k], cone.Row(2)[k+1] = 1, 1, 1
			k++
			continue
		}
		cone := p.Cone(1)
		cone.Row(0)[n], cone.Row(1)[k] = 1, 1
	}
	res, err := c.solver.Solve(p, cutGoal)
	if err != nil {
		return 0, nil, err
	}
	at = make([]float64, c.width)
	for k := range at {
		at[k] = c.centre[k] + c.half[k]*res.X[k]
	}
	return c.planes[0].value + unit*res.X[c.width], at, nil
}
