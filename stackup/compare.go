package stackup

import (
	"context"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/num"
)

// Comparison is two studies evaluated on the same draws. It is made by [Compare].
type Comparison struct {
	Samples   int
	responses []string
	y         [2][][]float64 // study, response, sample
	good      [2][][]bool
}

// leastCompared is how few samples may be compared.
const leastCompared = 40

// Difference is what a response is more in the second study than in the first.
type Difference struct {
	Name     string
	Samples  int
	Infinite int // samples without a finite value in either study, left out of Mean and SD
	Mean, SD Figure
	Yield    Figure // share within limits
}

// Compare evaluates two studies on the same draws, input by input as named, and keeps the responses, which must have the same names in the same order; models, laws, limits and the order of inputs may differ. Inputs of one name are made of the same normal numbers, so that they have the same deviations where their laws are the same, and deviations of the same rank where not: a small change shows among large deviations. What cannot be made of normal numbers is drawn from the same stream.
//
// When ctx is done it returns what the whole blocks done so far came to, if any, beside an error that wraps ctx.Err().
//
// Source: Glasserman and Yao, Some guidelines and guarantees for common random numbers, Manage. Sci. 38 (1992).
func Compare(ctx context.Context, a, b *Study, set Settings) (*Comparison, error) {
	for _, s := range [2]*Study{a, b} {
		if err := s.Validate(); err != nil {
			return nil, err
		}
	}
	if err := set.Whole(leastCompared); err != nil {
		return nil, err
	}
	out := &Comparison{}
	for k := range a.Responses {
		out.responses = append(out.responses, a.Responses[k].Name)
	}
	if !slices.EqualFunc(out.responses, b.Responses, func(name string, q Response) bool { return name == q.Name }) {
		return nil, fault.At("study", fmt.Sprintf("%d responses against %d, or others", len(a.Responses), len(b.Responses)), fmt.Sprintf("%q of both studies", out.responses), fault.ErrConflict)
	}
	for d := range out.y {
		out.y[d] = num.Columns(len(a.Responses), set.Samples)
		for range a.Responses {
			out.good[d] = append(out.good[d], make([]bool, set.Samples))
		}
	}
	parts := set.Blocks()
	done, err := Blocks(ctx, set, parts, func() func(int) (struct{}, error) {
		w := [2]*Sampler{NewNormalSampler(ctx, a), NewNormalSampler(ctx, b)}
		return func(block int) (none struct{}, err error) {
			for d := range w {
				if err == nil {
					err = out.block(d, w[d], &set, block)
				}
			}
			return none, err
		}
	}, func(int, struct{}) {})
	if out.Samples = parts.Of(done); out.Samples < 2*leastCompared {
		return nil, err
	}
	return out, err
}

// block works out a block of one of the studies.
func (c *Comparison) block(d int, w *Sampler, set *Settings, block int) error {
	w.Begin("", set.Seed, block)
	from := block * BlockSize
	draw := func(int, int) { w.Normals(); w.Fill(BatchSize) }
	return w.Batches(from, min(from+BlockSize, set.Samples), draw, func(at, n int) error {
		for k := range c.responses {
			q := &w.study.Responses[k]
			if err := q.Known(w.Y, n); err != nil {
				return err
			}
			copy(c.y[d][k][at:], w.Y[q.Output][:n])
			for i := range n {
				c.good[d][k][at+i] = q.Good(w.Y, i)
			}
		}
		return nil
	})
}

// Difference sums up response i. The interval of the yields' difference counts half a sample more in each of the four cells of good and bad.
//
// Source: Agresti and Min, Simple improved confidence intervals for comparing matched proportions, Stat. Med. 24 (2005).
//
// It panics if there is none of that number.
func (c *Comparison) Difference(i int) Difference {
	out := Difference{Name: c.responses[i], Samples: c.Samples}
	var a, b []float64 // where both are finite
	for k, v := range c.y[0][i][:c.Samples] {
		w := c.y[1][i][k]
		if d := w - v; d-d == 0 {
			a, b = append(a, v), append(b, w)
		}
	}
	out.Infinite = c.Samples - len(a)
	if len(a) >= 2 {
		out.Mean, out.SD = pairedMoments(a, b)
	}
	all, first, second := float64(c.Samples), 0.0, 0.0 // samples good in the first study only, and in the second
	for k := range c.Samples {
		switch was, is := c.good[0][i][k], c.good[1][i][k]; {
		case was && !is:
			first++
		case is && !was:
			second++
		}
	}
	out.Yield = NewFigure((second-first)/(all+2), math.Sqrt(first+second+1-(second-first)*(second-first)/(all+2))/(all+2), math.Inf(1))
	out.Yield.Value = (second - first) / all
	return out
}

// pairedMoments are the differences of mean and standard deviation, with the errors of pairs: that of a standard deviation s is by its influence ((y − m)² − s²)/2s.
func pairedMoments(a, b []float64) (mean, sd Figure) {
	n := float64(len(a))
	var ma, mb, va, vb, vd, squares float64
	for k := range a {
		ma += a[k]
		mb += b[k]
	}
	ma, mb = ma/n, mb/n
	for k := range a {
		da, db := a[k]-ma, b[k]-mb
		va += da * da
		vb += db * db
		vd += (db - da) * (db - da)
	}
	va, vb, vd = va/(n-1), vb/(n-1), vd/(n-1)
	sa, sb := math.Sqrt(va), math.Sqrt(vb)
	for k := range a {
		da, db := a[k]-ma, b[k]-mb
		var d float64
		if sb > 0 {
			d += (db*db - vb) / (2 * sb)
		}
		if sa > 0 {
			d -= (da*da - va) / (2 * sa)
		}
		squares += d * d
	}
	return NewFigure(mb-ma, math.Sqrt(vd/n), n-1), NewFigure(sb-sa, math.Sqrt(squares/n/n), n-1)
}
