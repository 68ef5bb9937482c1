package stackup

import (
	"context"
	"math"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/num"
)

// Controlled is a wanted number's mean and standard deviation with the help of its linear part.
type Controlled struct {
	Name     string
	Samples  int
	Mean, SD Figure
	Gain     float64 // how many times more random samples would give as good a mean
}

// controlSums are the sums over one batch of v, v² and the products with the controls: v the output less the linear part's mean, c the linear part less its mean, e = c² less its mean.
type controlSums struct {
	n, v, vv, c, e, cc, ce, ee, vc, ve, vvc, vve float64
}

// add adds b, sign times.
func (a *controlSums) add(b *controlSums, sign float64) {
	a.n += sign * b.n
	a.v += sign * b.v
	a.vv += sign * b.vv
	a.c += sign * b.c
	a.e += sign * b.e
	a.cc += sign * b.cc
	a.ce += sign * b.ce
	a.ee += sign * b.ee
	a.vc += sign * b.vc
	a.ve += sign * b.ve
	a.vvc += sign * b.vvc
	a.vve += sign * b.vve
}

// RunControlled runs the study and takes the linear part of every wanted number, whose mean and variance are known exactly, out of the sampling error: by regression on it and its square. A model that is nearly linear gains a hundredfold and more; one whose slope at zero deviation says nothing gains nothing. At least 2,048 samples are needed. The errors come from leaving out one batch at a time.
//
// When ctx is done it returns what the whole blocks done so far came to, if they are enough, beside an error that wraps ctx.Err().
//
// It returns a [fault.FieldError] for an input without a finite mean and variance, and [fault.ErrNotFinite] for a number that is not finite.
//
// Source: Glasserman, Monte Carlo Methods in Financial Engineering, Springer 2004, 4.1 (control variates by regression).
func (s *Study) RunControlled(ctx context.Context, set Settings) ([]Controlled, error) {
	l, err := s.Linearise(ctx)
	if err != nil {
		return nil, err
	}
	if err := set.Whole(fewestGroups * BatchSize); err != nil {
		return nil, err
	}
	if err := s.SecondMoments(); err != nil {
		return nil, err
	}
	parts := make([]Spread, len(s.Wanted))
	for k := range s.Wanted {
		parts[k] = l.Spread(s, s.Wanted[k].Output, -1)
	}
	var groups [][]controlSums // batch, wanted number
	blocks := set.Blocks()
	done, err := Blocks(ctx, set, blocks, func() func(int) ([][]controlSums, error) {
		w := NewSampler(ctx, s)
		return func(block int) (of [][]controlSums, err error) {
			err = w.Block("", set.Seed, block, set.Samples, func(_, n int) error {
				sums := make([]controlSums, len(s.Wanted))
				of = append(of, sums)
				for k := range s.Wanted {
					q := &s.Wanted[k]
					if i := sums[k].sum(w.Y[q.Output][:n], w.X, l.Gain[q.Output], l.At[q.Output], &parts[k]); i >= 0 {
						return q.infinite(i, w.Y[q.Output][i])
					}
				}
				return nil
			})
			return of, err
		}
	}, func(_ int, of [][]controlSums) { groups = append(groups, of...) })
	samples := blocks.Of(done)
	if samples < fewestGroups*BatchSize {
		return nil, err
	}
	out := make([]Controlled, len(s.Wanted))
	for k := range out {
		out[k] = controlled(groups, k, &parts[k])
		out[k].Name, out[k].Samples = s.Wanted[k].Name, samples
	}
	return out, err
}

// SecondMoments returns a [fault.FieldError] for an input without mean or variance.
func (s *Study) SecondMoments() error {
	for i := range s.Inputs {
		in := &s.Inputs[i]
		for k := range in.Columns() {
			if sum := in.Mean(k) + in.Covariance(k, k); sum-sum != 0 {
				return fault.At(in.Name, "a law without mean or variance", "both finite", fault.ErrOutOfRange)
			}
		}
	}
	return nil
}

// sum adds up a batch. It returns the first sample that is not finite, or −1.
func (a *controlSums) sum(y []float64, x [][]float64, gain []float64, at float64, part *Spread) int {
	mean, variance := part.Mean[0], part.XX
	for i, v := range y {
		c := at - mean
		for k, g := range gain {
			c += g * x[k][i]
		}
		v -= mean
		if v-v != 0 {
			return i
		}
		e, vv := c*c-variance, v*v
		a.add(&controlSums{1, v, vv, c, e, c * c, c * e, e * e, v * c, v * e, vv * c, vv * e}, 1)
	}
	return -1
}

// estimates are mean and standard deviation, by regression on both controls; residual is the variance of v about its regression.
func (a *controlSums) estimates() (mean, sd, residual float64) {
	n := a.n
	c, e := a.c/n, a.e/n
	cc, ce, ee := a.cc/n-c*c, a.ce/n-c*e, a.ee/n-e*e
	v, vv := a.v/n, a.vv/n
	vc, ve := a.vc/n-v*c, a.ve/n-v*e
	vvc, vve := a.vvc/n-vv*c, a.vve/n-vv*e
	b := solveTwo(cc, ce, ee, vc, ve)
	d := solveTwo(cc, ce, ee, vvc, vve)
	mean = v - b[0]*c - b[1]*e
	square := vv - d[0]*c - d[1]*e
	return mean, math.Sqrt(math.Max(square-mean*mean, 0)), vv - v*v - b[0]*vc - b[1]*ve
}

// solveTwo solves the symmetric system; a control that does not vary, or only as the other does, is left out.
func solveTwo(cc, ce, ee, vc, ve float64) (b [2]float64) {
	const singular = 1e-12
	switch det := cc*ee - ce*ce; {
	case det > singular*cc*ee:
		return [2]float64{(vc*ee - ve*ce) / det, (ve*cc - vc*ce) / det}
	case cc > 0:
		b[0] = vc / cc
	}
	return b
}

func controlled(groups [][]controlSums, k int, part *Spread) Controlled {
	var all controlSums
	for g := range groups {
		all.add(&groups[g][k], 1)
	}
	mean, sd, residual := all.estimates()
	means, sds := make([]float64, len(groups)), make([]float64, len(groups))
	for g := range groups {
		rest := all
		rest.add(&groups[g][k], -1)
		means[g], sds[g], _ = rest.estimates()
	}
	dof := float64(len(groups) - 1)
	out := Controlled{Mean: NewFigure(mean+part.Mean[0], num.Jackknife(means), dof), SD: NewFigure(sd, num.Jackknife(sds), dof), Gain: 1}
	if variance := all.vv/all.n - all.v*all.v/all.n/all.n; variance > 0 {
		out.Gain = variance / math.Max(residual, variance*1e-12)
	}
	return out
}
