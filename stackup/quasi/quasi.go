package quasi

import (
	"context"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/internal/sobol"
)

// Replicates is how many there are of a run, unless its settings say otherwise.
const Replicates = 16

// Settings say how a study is sampled by quasi-Monte Carlo.
type Settings struct {
	stackup.Settings     // Samples: of all replicates together, at most
	Replicates       int // independent runs, whose scatter is the error; 0: 16; at least 4
}

// Result is what a run came to. It is made by [Run].
type Result struct {
	Samples, Replicates int
	responses           []stackup.Response
	y                   [][]float64 // response: samples, replicate after replicate
	good                [][]float64 // response, replicate: share within limits
}

// Run draws samples of a study that are spread evenly and evaluates them, in independent replicates whose scatter says how good the result is. Every replicate is a scrambled Sobol sequence of the greatest power of two of samples that fits.
//
// Means, and all that depends on few inputs at once, gain most; the share in a far tail gains little. Numbers from the 129th on are spread as a Latin hypercube, and inputs that cannot be made of normal numbers ([stackup.Input]) are drawn at random.
//
// When ctx is done it returns the whole replicates done so far, if there are at least four, beside an error that wraps ctx.Err().
//
// Source: Owen, Scrambled net variance for integrals of smooth functions, Ann. Stat. 25 (1997); L'Ecuyer et al., Confidence intervals for randomized quasi-Monte Carlo estimators, WSC 2023 (Student's t over replicates).
func Run(ctx context.Context, s *stackup.Study, set Settings) (*Result, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	r := set.Replicates
	if r == 0 {
		r = Replicates
	}
	const fewest = 4
	if r < fewest {
		return nil, fault.At("settings", fmt.Sprintf("%d replicates", r), fmt.Sprintf("at least %d, for an error", fewest), fault.ErrOutOfRange)
	}
	if err := set.Whole(fewest * r); err != nil {
		return nil, err
	}
	n := 1 << (bits.Len(uint(set.Samples/r)) - 1)
	out := &Result{Samples: n * r, Replicates: r, responses: slices.Clone(s.Responses), y: num.Columns(len(s.Responses), n*r), good: num.Columns(len(s.Responses), r)}
	done, err := stackup.Blocks(ctx, set.Settings, stackup.Parts{N: r, Each: n, Samples: n * r}, func() func(int) (int, error) {
		w := newSpreader(ctx, s, n)
		return func(k int) (int, error) {
			w.begin(set.Seed, k)
			return k, w.Batches(k*n, (k+1)*n, func(_, m int) { w.draw(m) }, func(at, m int) error {
				if err := w.Stopped(); err != nil {
					return err
				}
				return out.keep(w, k, at, m)
			})
		}
	}, func(int, int) {})
	if done < fewest {
		return nil, err
	}
	out.Samples, out.Replicates = done*n, done
	for k := range out.y {
		out.y[k], out.good[k] = out.y[k][:out.Samples], out.good[k][:done]
	}
	return out, err
}

// spreader draws quasi-Monte Carlo, n samples a replicate.
type spreader struct {
	*stackup.Sampler
	n       int
	inputs  int
	columns []sobol.Column
}

func newSpreader(ctx context.Context, s *stackup.Study, n int) *spreader {
	w := &spreader{Sampler: stackup.NewNormalSampler(ctx, s), n: n, inputs: len(s.Inputs)}
	w.columns = make([]sobol.Column, len(w.Z))
	return w
}

// begin makes the columns of a replicate.
func (w *spreader) begin(seed uint64, replicate int) {
	w.Begin("/even", seed, replicate)
	for i := range w.inputs {
		from, to := w.Numbers(i)
		for c := from; c < to; c++ {
			w.columns[c].Scramble(c, bits.Len(uint(w.n))-1, w.Stream(i))
		}
	}
}

// draw fills the columns with the replicate's next n samples.
func (w *spreader) draw(n int) {
	for i := range w.inputs {
		from, to := w.Numbers(i)
		if from == to {
			w.DrawInput(i, n)
			continue
		}
		for c := from; c < to; c++ {
			w.columns[c].Fill(w.Z[c][:n])
		}
		w.FillUniform(i, n)
	}
}

// keep stores n samples from number at of all replicates on, and counts those within limits.
func (e *Result) keep(w *spreader, replicate, at, n int) error {
	for k := range e.responses {
		q := &e.responses[k]
		if err := q.Known(w.Y, n); err != nil {
			return err
		}
		copy(e.y[k][at:], w.Y[q.Output][:n])
		for i := range n {
			if q.Good(w.Y, i) {
				e.good[k][replicate] += 1 / float64(w.n)
			}
		}
	}
	return nil
}

// replicate lists the samples of one.
func (e *Result) replicate(i, r int) []float64 {
	n := e.Samples / e.Replicates
	return e.y[i][r*n : (r+1)*n]
}

// Mean returns the mean of response i; not finite when a sample is not. It panics, as the others do, if there is none of that number.
func (e *Result) Mean(i int) stackup.Figure {
	means := make([]float64, e.Replicates)
	for r := range means {
		var sum float64
		for _, v := range e.replicate(i, r) {
			sum += v
		}
		means[r] = sum / float64(e.Samples/e.Replicates)
	}
	return stackup.Scatter(means)
}

// SD returns the standard deviation; its error comes from leaving out one replicate at a time.
func (e *Result) SD(i int) stackup.Figure {
	centre := e.y[i][0]
	sums := make([][2]float64, e.Replicates)
	var all [2]float64
	for r := range sums {
		for _, v := range e.replicate(i, r) {
			sums[r][0] += v - centre
			sums[r][1] += (v - centre) * (v - centre)
		}
		all[0] += sums[r][0]
		all[1] += sums[r][1]
	}
	sd := func(n, sum, squares float64) float64 {
		return math.Sqrt(math.Max(squares-sum*sum/n, 0) / n)
	}
	without := make([]float64, e.Replicates)
	n := float64(e.Samples)
	for r, s := range sums {
		without[r] = sd(n*(1-1/float64(e.Replicates)), all[0]-s[0], all[1]-s[1])
	}
	return stackup.NewFigure(sd(n, all[0], all[1]), num.Jackknife(without), float64(e.Replicates-1))
}

// Yield returns the share within limits. When all replicates agree to be all good or all bad, the interval is that of as many random samples; otherwise the error is at least that of one sample.
func (e *Result) Yield(i int) stackup.Figure {
	f := stackup.Scatter(e.good[i])
	if n := float64(e.Samples); f.Error == 0 && (math.Abs(f.Value-1)*n < 0.5 || f.Value*n < 0.5) {
		return stackup.Figure{Value: math.Round(f.Value), Error: 1 / n, Interval: num.BinomialInterval(int(math.Round(f.Value*n)), e.Samples)}
	}
	if least := 1 / float64(e.Samples); f.Error < least { // replicates that agree to a sample say no more
		f = stackup.NewFigure(f.Value, least, float64(e.Replicates-1))
	}
	f.Interval = [2]float64{math.Max(f.Interval[0], 0), math.Min(f.Interval[1], 1)}
	return f
}

// Quantile returns the value below which a share p of all samples lies; its error is the scatter of the replicates about it. It returns a [fault.FieldError] when p is not within 0 and 1 or a replicate has fewer than 5 samples on either side of it, and [fault.ErrNotFinite] when the value is not finite.
func (e *Result) Quantile(i int, p float64) (stackup.Figure, error) {
	const fewest = 5
	if n := float64(e.Samples / e.Replicates); !(p > 0 && p < 1) || n*math.Min(p, 1-p) < fewest {
		return stackup.Figure{}, fault.At(e.responses[i].Name, fmt.Sprintf("quantile %g of %d samples in each replicate", p, e.Samples/e.Replicates), "0 < p < 1 and 5 samples on either side of it", fault.ErrOutOfRange)
	}
	scratch := make([]float64, e.Samples)
	value := num.Quantile(scratch, e.y[i], p)
	var squares float64
	for r := range e.Replicates {
		d := num.Quantile(scratch, e.replicate(i, r), p) - value
		squares += d * d
	}
	if sum := value + squares; sum-sum != 0 {
		return stackup.Figure{}, fmt.Errorf("stackup: %s: quantile %g: %w", e.responses[i].Name, p, fault.ErrNotFinite)
	}
	n := float64(e.Replicates)
	return stackup.NewFigure(value, math.Sqrt(squares/n/(n-1)), n-1), nil
}
