package stackup

import (
	"context"
	"fmt"
	"math"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/num"
)

// Comparison is two studies evaluated on the same draws. It is made by [Compare].
type Comparison struct {
	Samples   int
	responses []string
	y         [2][][]float64 // study, response, sample
	good      [][4]int       // response: samples good in neither, the second only, the first only, both
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
	out := &Comparison{Samples: set.Samples}
	for k := range a.Responses {
		out.responses = append(out.responses, a.Responses[k].Name)
	}
	for k := range b.Responses {
		if k >= len(a.Responses) || b.Responses[k].Name != a.Responses[k].Name || len(a.Responses) != len(b.Responses) {
			return nil, fault.At(b.Responses[k].Name, "not asked in the same place by both studies", fmt.Sprintf("%q of both", out.responses), fault.ErrConflict)
		}
	}
	if len(a.Responses) != len(b.Responses) {
		return nil, fault.At("study", fmt.Sprintf("%d responses against %d", len(a.Responses), len(b.Responses)), "the same of both studies", fault.ErrOutOfRange)
	}
	for d := range out.y {
		out.y[d] = num.Columns(len(a.Responses), set.Samples)
	}
	out.good = make([][4]int, len(a.Responses))
	parts := set.Blocks()
	done, err := Blocks(ctx, set, parts, func() func(int) ([][4]int, error) {
		w := [2]*Sampler{NewNormalSampler(ctx, a), NewNormalSampler(ctx, b)}
		return func(block int) ([][4]int, error) { return out.block(w, &set, block) }
	}, func(_ int, good [][4]int) {
		for k := range good {
			for i, n := range good[k] {
				out.good[k][i] += n
			}
		}
	})
	if out.Samples = parts.Of(done); out.Samples < 2*leastCompared {
		return nil, err
	}
	for d := range out.y {
		for k := range out.y[d] {
			out.y[d][k] = out.y[d][k][:out.Samples]
		}
	}
	return out, err
}

// block works out a block of both studies, one after the other.
func (c *Comparison) block(w [2]*Sampler, set *Settings, block int) (good [][4]int, err error) {
	good = make([][4]int, len(c.responses))
	first := make([][BlockSize]bool, len(c.responses)) // good in the first study
	from := block * BlockSize
	for d, w := range w {
		w.Begin("", set.Seed, block)
		draw := func(int, int) { w.Normals(); w.Fill(BatchSize) }
		err := w.Batches(from, min(from+BlockSize, set.Samples), draw, func(at, n int) error {
			for k := range good {
				q := &w.study.Responses[k]
				if err := q.Known(w.Y, n); err != nil {
					return err
				}
				copy(c.y[d][k][at:], w.Y[q.Output][:n])
				for i := range n {
					if is, was := q.Good(w.Y, i), &first[k][at-from+i]; d == 0 {
						*was = is
					} else {
						good[k][2*one(*was)+one(is)]++
					}
				}
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	return good, nil
}

// one is 1 for true.
func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// Difference sums up response i. The interval of the yields' difference counts half a sample more in each of the four cells of good and bad.
//
// Source: Agresti and Min, Simple improved confidence intervals for comparing matched proportions, Stat. Med. 24 (2005).
//
// It panics if there is none of that number.
func (c *Comparison) Difference(i int) Difference {
	out := Difference{Name: c.responses[i], Samples: c.Samples}
	a, b := c.y[0][i], c.y[1][i]
	var n, ma, mb float64
	for k := range a {
		if d := b[k] - a[k]; d-d == 0 {
			n++
			ma += a[k]
			mb += b[k]
		}
	}
	out.Infinite = c.Samples - int(n)
	if n >= 2 {
		ma, mb = ma/n, mb/n
		out.Mean, out.SD = pairedMoments(a, b, n, ma, mb)
	}
	good := c.good[i]
	all, first, second := float64(c.Samples), float64(good[2]), float64(good[1])
	out.Yield = NewFigure((second-first)/(all+2), math.Sqrt(first+second+1-(second-first)*(second-first)/(all+2))/(all+2), math.Inf(1))
	out.Yield.Value = (second - first) / all
	return out
}

// pairedMoments are the differences of mean and standard deviation, with the errors of pairs: that of a standard deviation s is by its influence ((y − m)² − s²)/2s.
func pairedMoments(a, b []float64, n, ma, mb float64) (mean, sd Figure) {
	var va, vb, vd float64
	for k := range a {
		da, db := a[k]-ma, b[k]-mb
		if d := db - da; d-d == 0 {
			va += da * da
			vb += db * db
			vd += d * d
		}
	}
	va, vb, vd = va/(n-1), vb/(n-1), vd/(n-1)
	sa, sb := math.Sqrt(va), math.Sqrt(vb)
	var squares float64
	for k := range a {
		da, db := a[k]-ma, b[k]-mb
		var d float64
		if sb > 0 {
			d += (db*db - vb) / (2 * sb)
		}
		if sa > 0 {
			d -= (da*da - va) / (2 * sa)
		}
		if d-d == 0 {
			squares += d * d
		}
	}
	return NewFigure(mb-ma, math.Sqrt(vd/n), n-1), NewFigure(sb-sa, math.Sqrt(squares/n/n), n-1)
}
